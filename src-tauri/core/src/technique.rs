//! Placeholder while building.
