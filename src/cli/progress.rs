//! What the program is doing, on the error stream, for someone who waits at a terminal.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Shows the name of the step at work; nothing at all unless it is wanted. Cleared away when dropped, so that it never stands
/// among the results.
#[derive(Debug)]
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// `shown` when the error stream is a terminal and the user did not ask for quiet.
    pub fn new(shown: bool) -> Progress {
        if !shown {
            return Progress { bar: ProgressBar::hidden() };
        }
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} ({elapsed})") {
            bar.set_style(style.tick_strings(&["·  ", "·· ", "···", " ··", "  ·", "   "]));
        }
        bar.enable_steady_tick(Duration::from_millis(120));
        Progress { bar }
    }

    /// Names the step that begins.
    pub fn step(&self, name: &str) {
        self.bar.set_message(name.to_string());
    }

    /// Runs something that writes to the error stream itself, with the line out of its way.
    pub fn hidden_while<T>(&self, run: impl FnOnce() -> T) -> T {
        self.bar.suspend(run)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_shown_unless_it_is_wanted() {
        let progress = Progress::new(false);
        progress.step("reading the records");
        assert!(progress.bar.is_hidden());
    }

    #[test]
    fn the_template_is_understood() {
        // An unreadable template would silently fall back to another look.
        assert!(ProgressStyle::with_template("{spinner} {msg} ({elapsed})").is_ok());
    }
}
