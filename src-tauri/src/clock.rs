//! The only file that reads a clock. Everything behind the door is told the time.

use chrono::{DateTime, FixedOffset, Local};
use fallow_api::Now;

/// Where a shell takes the time of a request from.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) enum Clock {
    /// This device's clock and offset.
    #[default]
    Device,
    /// One moment, set with `--clock`; what is recorded under it is marked.
    SetByHand(DateTime<FixedOffset>),
}

impl Clock {
    /// The moment of a request that arrives now.
    #[expect(
        clippy::disallowed_methods,
        reason = "time enters here and nowhere else"
    )]
    pub(crate) fn now(self) -> Now {
        match self {
            Self::Device => Now {
                at: Local::now().fixed_offset(),
                set_by_hand: false,
                clock: fallow_api::Clock::default(),
            },
            Self::SetByHand(at) => Now {
                at,
                set_by_hand: true,
                clock: fallow_api::Clock::default(),
            },
        }
    }
}
