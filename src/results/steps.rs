//! How long each step of a run took, and how much memory it had needed by then.

use std::time::Instant;

use serde::Serialize;

/// One step of a run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// What was done.
    pub name: String,
    /// Seconds it took.
    pub seconds: f64,
    /// The most memory the program had held by its end, in bytes; `None` where the system does not say.
    pub peak_memory_bytes: Option<u64>,
}

/// Times steps that follow each other without a gap.
#[derive(Debug, Default)]
pub struct StepClock {
    done: Vec<Step>,
    running: Option<(String, Instant)>,
}

impl StepClock {
    /// Ends the running step, if there is one, and begins the next.
    pub fn begin(&mut self, name: &str) {
        self.end();
        self.running = Some((name.to_string(), Instant::now()));
    }

    /// Ends the running step, if there is one.
    pub fn end(&mut self) {
        if let Some((name, since)) = self.running.take() {
            self.done.push(Step {
                name,
                // A record for people: more digits say nothing.
                seconds: (since.elapsed().as_secs_f64() * 1_000.0).round() / 1_000.0,
                peak_memory_bytes: peak_memory_bytes(),
            });
        }
    }

    /// The steps ended so far, in order.
    pub fn steps(&self) -> &[Step] {
        &self.done
    }
}

/// The most memory this process has held so far, in bytes. Known on Linux only.
pub fn peak_memory_bytes() -> Option<u64> {
    peak_of(&std::fs::read_to_string("/proc/self/status").ok()?)
}

/// `VmHWM` ("peak resident set size", in kB of 1024 bytes): Linux manual page proc_pid_status(5).
fn peak_of(status: &str) -> Option<u64> {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    kib.checked_mul(1_024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_follow_each_other() {
        let mut clock = StepClock::default();
        clock.end();
        assert!(clock.steps().is_empty());
        clock.begin("read");
        clock.begin("loss");
        std::thread::sleep(std::time::Duration::from_millis(20));
        clock.end();
        clock.end();
        let names: Vec<&str> = clock.steps().iter().map(|step| step.name.as_str()).collect();
        assert_eq!(names, ["read", "loss"]);
        assert!(clock.steps()[1].seconds >= 0.019);
        assert!(clock.steps()[0].seconds >= 0.0);
    }

    #[test]
    fn peak_memory_is_read_from_the_line_that_says_so() {
        let status = "Name:\tx\nVmPeak:\t  999 kB\nVmHWM:\t  2048 kB\nVmRSS:\t 1 kB\n";
        assert_eq!(peak_of(status), Some(2 * 1_024 * 1_024));
        for other in ["", "VmRSS:\t1 kB\n", "VmHWM:\t-1 kB\n", "VmHWM:\t2048\n", "VmHWM:\n"] {
            assert_eq!(peak_of(other), None, "{other}");
        }
        #[cfg(target_os = "linux")]
        assert!(peak_memory_bytes().unwrap() > 1 << 20);
    }
}
