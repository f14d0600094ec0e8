//! What was worked out for one skin, kept for the next time the same skin is asked about.
//!
//! Kept by value: an answer is only found again for exactly the figures it was made from, so keeping changes the time
//! an answer takes and nothing else. Not here: anything of a person's record.

use std::sync::{Arc, Mutex, PoisonError};

/// The figures an answer was made from, bit for bit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Figures(Vec<u64>);

impl Figures {
    /// Adds a length or another measured figure.
    pub(crate) fn add(&mut self, value: f64) {
        self.0.push(value.to_bits());
    }

    /// Adds a patch: its outline, its cuts and its margins.
    pub(crate) fn patch(patch: &crate::body::Patch) -> Self {
        let mut this = Self(vec![patch.zone() as u64]);
        for c in patch.outline().exterior().coords() {
            this.add(c.x);
            this.add(c.y);
        }
        this.add(patch.cut_across_cm());
        this.add(patch.cut_up_cm());
        for margin in patch.margins() {
            this.add(margin.radius_cm);
            for c in margin.line.coords() {
                this.add(c.x);
                this.add(c.y);
            }
        }
        this
    }

    /// Adds the findings of one zone: where they lie and how far to stay off.
    pub(crate) fn findings(&mut self, findings: &[crate::skin::Finding], zone: crate::site::Zone) {
        for finding in findings.iter().filter(|f| f.zone == zone) {
            self.add(finding.margin_cm.value);
            let ring = finding.place.ring();
            self.0.push(ring.len() as u64);
            for p in ring {
                self.add(p.across_cm);
                self.add(p.up_cm);
            }
        }
    }

    /// Adds quadrants.
    pub(crate) fn quadrants(&mut self, quadrants: &[crate::site::Quadrant]) {
        self.0.extend(quadrants.iter().map(|q| *q as u64));
    }
}

/// The last answers, the latest used first.
pub(crate) struct Kept<T> {
    answers: Mutex<Vec<(Figures, Arc<T>)>>,
}

/// More than one household's or one visit's worth of zones and medicines.
const MOST: usize = 64;

impl<T> Kept<T> {
    /// Nothing yet.
    pub(crate) const fn new() -> Self {
        Self {
            answers: Mutex::new(Vec::new()),
        }
    }

    /// The answer for these figures, worked out where it is not kept.
    pub(crate) fn of(&self, figures: Figures, work_out: impl FnOnce() -> T) -> Arc<T> {
        // A panic in another thread leaves whole answers behind, so a poisoned list is as good as any.
        let mut answers = self.answers.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = answers.iter().position(|(f, _)| *f == figures) {
            answers[..=at].rotate_right(1);
            return Arc::clone(&answers[0].1);
        }
        drop(answers);
        let answer = Arc::new(work_out());
        let mut answers = self.answers.lock().unwrap_or_else(PoisonError::into_inner);
        answers.insert(0, (figures, Arc::clone(&answer)));
        answers.truncate(MOST);
        answer
    }
}
