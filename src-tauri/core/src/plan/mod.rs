//! The plan: how much skin there is for a treatment, how many sites it holds, and whether that is enough.
//!
//! Reading order: [`allowed`] (a patch without what is left alone), [`capacity`] (sites found, and the most there can
//! be), [`need`] (sites that orders ask for), [`reach`] (zones that are used), [`room`] (whether the skin carries it,
//! and in `remedies` what would help where not). Inside capacity: `field`, `lattice`, `rows`, `edge`, `press`,
//! `ceiling`. [`weeks`] is where each injection goes, [`hand`] how exact a hand must be. Not here: a check of one site ([`crate::rules`]).

pub mod allowed;
pub mod capacity;
mod ceiling;
mod edge;
mod field;
pub mod hand;
mod lattice;
pub mod need;
mod press;
pub mod reach;
mod remedies;
pub mod room;
mod room_words;
mod rows;
pub mod weeks;
