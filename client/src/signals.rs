//! Being told to end while something is being followed.

use std::{io, time::Duration};

use tokio::sync::watch;

use crate::fail::Exit;

/// How long what is under way may take to end; a pipe that nobody reads would hold it for ever.
const GRACE: Duration = Duration::from_secs(2);

/// The signals that end a command that goes on for ever, caught from the moment this is made: an interrupt from the
/// keyboard, and the polite request of whoever runs daemons, which is no failure.
pub struct Interrupt(watch::Receiver<Option<Exit>>);

impl Interrupt {
    /// Begins to listen; a second signal, or one that is not heeded in time, ends the process at once.
    #[cfg(unix)]
    pub fn caught() -> io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
        let (tell, told) = watch::channel(None);
        tokio::spawn(async move {
            let exit = tokio::select! {
                _ = interrupt.recv() => Exit::Interrupted,
                _ = terminate.recv() => Exit::Ok,
            };
            tell.send_replace(Some(exit));
            tokio::select! {
                _ = interrupt.recv() => {}
                _ = terminate.recv() => {}
                () = tokio::time::sleep(GRACE) => {}
            }
            std::process::exit(i32::from(exit as u8));
        });
        Ok(Self(told))
    }

    /// Listens to the keyboard.
    #[cfg(not(unix))]
    pub fn caught() -> io::Result<Self> {
        let (tell, told) = watch::channel(None);
        tokio::spawn(async move {
            if tokio::signal::ctrl_c().await.is_ok() {
                tell.send_replace(Some(Exit::Interrupted));
                tokio::time::sleep(GRACE).await;
                std::process::exit(i32::from(Exit::Interrupted as u8));
            }
        });
        Ok(Self(told))
    }

    /// Waits for the first signal, and returns how the process is to end.
    pub async fn wait(&mut self) -> Exit {
        match self.0.wait_for(Option::is_some).await {
            Ok(exit) => exit.unwrap_or(Exit::Interrupted),
            // Nobody listens any more: then nobody tells.
            Err(_) => std::future::pending().await,
        }
    }
}
