//! The domain of Fallow, pure: people, orders, injections, the body they go into and the rules about it.
//!
//! Nothing here reads a clock, a file, a database or a network; `now` and the time zone are arguments.
//! Reading order: [`units`], [`typed_number`], [`site`], [`orders`], [`person`], [`act`], [`time`], [`due`],
//! [`reminders`], [`body`], [`medicines`], [`rules`], [`suggest`], [`use_map`], [`use_grid`], [`measures`], [`skin`],
//! [`marked`], [`leaving_lump`], [`risk`], [`plan`], [`glucose`], [`low_glucose`], [`before`], [`dose_volume`], [`technique`], [`words`].

pub mod act;
pub mod before;
pub mod body;
mod cited;
pub mod dose_volume;
pub mod due;
pub mod glucose;
pub mod leaving_lump;
pub mod low_glucose;
pub mod marked;
pub mod measures;
pub mod medicines;
pub mod orders;
pub mod person;
pub mod plan;
pub mod reminders;
pub mod risk;
pub mod rules;
pub mod site;
pub mod skin;
pub mod suggest;
pub mod technique;
pub mod time;
pub mod typed_number;
pub mod units;
pub mod use_grid;
pub mod use_map;
pub mod words;
