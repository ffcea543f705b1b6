//! Whoever reads all of the past at once holds it: nothing is let go of meanwhile.

use std::sync::Arc;

use parking_lot::{Condvar, Mutex};

/// How many hold the past, and whether some of it is being let go of.
#[derive(Debug, Default)]
pub(super) struct Pins {
    held: Mutex<Held>,
    free: Condvar,
}

#[derive(Debug, Default)]
struct Held {
    readers: usize,
    going: bool,
}

/// Nothing goes while it lives.
#[derive(Debug)]
pub(super) struct Pin(Arc<Pins>);

/// Nobody holds the past while it lives.
#[derive(Debug)]
pub(super) struct Going<'a>(&'a Pins);

impl Pins {
    /// Holds the past, once what is being let go of is gone.
    pub(super) fn read(self: &Arc<Self>) -> Pin {
        let mut held = self.held.lock();
        self.free.wait_while(&mut held, |held| held.going);
        held.readers += 1;
        Pin(Arc::clone(self))
    }

    /// Begins to let go; nothing when somebody holds the past.
    pub(super) fn let_go(&self) -> Option<Going<'_>> {
        let mut held = self.held.lock();
        if held.going || held.readers > 0 {
            return None;
        }
        held.going = true;
        Some(Going(self))
    }
}

impl Drop for Pin {
    fn drop(&mut self) {
        let mut held = self.0.held.lock();
        held.readers = held.readers.saturating_sub(1);
    }
}

impl Drop for Going<'_> {
    fn drop(&mut self) {
        self.0.held.lock().going = false;
        self.0.free.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::time::Duration;

    use super::*;

    #[test]
    fn either_somebody_reads_or_something_goes() {
        let pins = Arc::new(Pins::default());
        let (one, two) = (pins.read(), pins.read());
        assert!(pins.let_go().is_none());
        drop(one);
        assert!(pins.let_go().is_none(), "there is another one");
        drop(two);
        let going = pins.let_go().unwrap();
        assert!(pins.let_go().is_none(), "one at a time");
        let came = Arc::new(AtomicBool::new(false));
        let reader = std::thread::spawn({
            let (pins, came) = (Arc::clone(&pins), Arc::clone(&came));
            move || {
                let pin = pins.read();
                came.store(true, Ordering::SeqCst);
                drop(pin);
            }
        });
        std::thread::sleep(Duration::from_millis(50));
        assert!(!came.load(Ordering::SeqCst), "it waits for what goes");
        drop(going);
        reader.join().unwrap();
        assert!(pins.let_go().is_some());
    }
}
