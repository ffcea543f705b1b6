//! Progress of long work: one line on standard error, drawn only where somebody watches.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::out::Out;

/// A progress line that stays away until the work has taken a while.
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// Starts; with the length of the input, when that is known, the line shows how far it is.
    pub fn start(bytes: Option<u64>) -> Self {
        let bar = ProgressBar::with_draw_target(bytes, ProgressDrawTarget::hidden());
        if Out::is_watched() {
            let template = match bytes {
                Some(_) => "{percent:>3} %  {msg}, {eta} left",
                None => "{msg}, {elapsed}",
            };
            if let Ok(style) = ProgressStyle::with_template(template) {
                bar.set_style(style);
            }
            bar.set_draw_target(ProgressDrawTarget::stderr_with_hz(5));
        }
        Self { bar }
    }

    /// Shows how far the work is.
    pub fn tick(&self, plans: i64, bytes: u64) {
        if self.bar.is_hidden() || self.bar.elapsed() < Duration::from_millis(500) {
            return;
        }
        self.bar.set_position(bytes);
        self.bar.set_message(format!("{} plans", plans));
    }

    /// Takes the line away again.
    pub fn clear(&self) {
        self.bar.finish_and_clear();
    }
}
