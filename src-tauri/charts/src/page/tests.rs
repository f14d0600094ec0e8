//! Files of every state a record can be in.
