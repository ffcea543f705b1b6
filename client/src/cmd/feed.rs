//! `baybook feed`: every change of the book, as it happens.

use std::{convert::Infallible, path::PathBuf, str::FromStr, time::Duration};

use baybook_proto::v1::{self as pb, watch_book_response::Event};
use clap::Args;
use tonic::{Request, Status, Streaming};

use self::{cursor_file::CursorFile, lines::Lines, patience::Patience};
use super::book::{Kind, kind_number};
use crate::{
    context::Context,
    fail::{Exit, Failure, Flags, Outcome, Stop},
    out::{self, Format},
    read,
    signals::Interrupt,
};

mod cursor_file;
mod lines;
mod patience;

const EXAMPLES: &str = "\
Examples:
  baybook feed --book deploy/demo/book --until-caught-up --format ndjson | head -3
  baybook feed --book deploy/demo/book --kind vehicles --until-caught-up";

const FLAGS: Flags = Flags(&[("cursor", "--from"), ("kind", "--kind")]);

/// The service says something every few seconds; when nothing comes for this long, the line is dead.
const SILENCE: Duration = Duration::from_secs(30);

/// Follow every change of the book, once and in order
///
/// Each commit is one line, whole. With --format ndjson a line is {"commit": …} with a cursor; before the commits, from
/// start, stand {"snapshot_begin": …}, one {"entry": …} for every entry as it stands, and {"snapshot_end": …}. A service
/// that goes away is waited for, and nothing is missed; a snapshot that was broken off begins anew.
///
/// With --cursor-file the place is written down after each line has gone out, and the next run goes on from there: after a
/// crash a line may come twice, with the same cursor, but none is left out.
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct FeedArgs {
    /// Begin here: start (every entry as it stands, then every change), now, or the cursor of an earlier line
    #[arg(long, value_name = "CURSOR|start|now", default_value = "start")]
    from: From,

    /// Keep the place in this file; when it is there, go on from it, whatever --from says
    #[arg(long, value_name = "FILE")]
    cursor_file: Option<PathBuf>,

    /// Tell of this kind of entry only
    #[arg(long, value_name = "KIND")]
    kind: Option<Kind>,

    /// End when everything has been told that was in the book at the beginning
    #[arg(long)]
    until_caught_up: bool,

    /// Write a line {"bookmark": …} every few seconds too; for --format ndjson
    #[arg(long)]
    bookmarks: bool,

    /// Wait this long for a service that cannot be reached: 30s, 10m
    #[arg(long, value_name = "TIME", value_parser = read::time, default_value = "60m")]
    patience: Duration,
}

/// Where a feed begins.
#[derive(Debug, Clone, PartialEq, Eq)]
enum From {
    Start,
    Now,
    Cursor(String),
}

impl FromStr for From {
    type Err = Infallible;

    fn from_str(text: &str) -> Result<Self, Infallible> {
        Ok(match text {
            "start" => Self::Start,
            "now" => Self::Now,
            cursor => Self::Cursor(cursor.to_owned()),
        })
    }
}

impl From {
    fn request(&self, args: &FeedArgs) -> pb::WatchBookRequest {
        let (cursor, snapshot) = match self {
            Self::Start => (String::new(), true),
            Self::Now => (String::new(), false),
            Self::Cursor(cursor) => (cursor.clone(), false),
        };
        let kind = kind_number(args.kind);
        pb::WatchBookRequest { cursor, snapshot, kind, until_caught_up: args.until_caught_up }
    }
}

/// How one stream ended.
enum End {
    /// With all that was to be told.
    CaughtUp,
    /// Because somebody wants the command to end.
    Interrupted(Exit),
    /// For a reason that may pass.
    Passing(Failure),
}

pub async fn run(args: FeedArgs, context: &mut Context) -> Outcome {
    if !matches!(context.out.format, Format::Table | Format::Ndjson) {
        let failure = Failure::usage("a feed is written line by line")
            .at("--format", "json and csv need to know the end of what they hold")
            .next("--format ndjson");
        return Err(failure.into());
    }
    let mut file = args.cursor_file.as_deref().map(CursorFile::open).transpose()?;
    let mut from = match file.as_ref().and_then(CursorFile::cursor) {
        Some(cursor) => From::Cursor(cursor.to_owned()),
        None => args.from.clone(),
    };
    let mut interrupt = Interrupt::caught()?;
    let mut lines = Lines::new(args.bookmarks);
    let mut patience = Patience::new(args.patience);
    loop {
        let heard = lines.heard();
        let end = tokio::select! {
            end = follow(&args, &mut from, context, &mut lines, file.as_mut()) => end?,
            exit = interrupt.wait() => End::Interrupted(exit),
            () = out::gone() => return Err(Stop::ClosedPipe),
        };
        let failure = match end {
            End::CaughtUp => return Ok(Exit::Ok),
            End::Interrupted(exit) => return Ok(exit),
            End::Passing(failure) => failure,
        };
        if lines.heard() > heard {
            patience.renew();
        }
        let Some(wait) = patience.next() else { return Err(failure.into()) };
        if patience.is_first() {
            out::talk(&format!("{}; trying again for up to {} s", failure.what, args.patience.as_secs()));
        }
        tokio::select! {
            () = tokio::time::sleep(wait) => {}
            exit = interrupt.wait() => return Ok(exit),
            () = out::gone() => return Err(Stop::ClosedPipe),
        }
    }
}

/// Follows the book until the stream ends; `from` moves along.
async fn follow(
    args: &FeedArgs,
    from: &mut From,
    context: &mut Context,
    lines: &mut Lines,
    mut file: Option<&mut CursorFile>,
) -> Result<End, Stop> {
    let mut stream = match begin(from.request(args), context).await {
        Ok(stream) => stream,
        Err(Broken::Status(status)) => return judged(&status, file.as_deref()),
        Err(Broken::Stop(Stop::Failure(failure))) if failure.exit == Exit::Unreachable => {
            return Ok(End::Passing(*failure));
        }
        Err(Broken::Stop(stop)) => return Err(stop),
    };
    lines.begin();
    loop {
        let message = match tokio::time::timeout(SILENCE, stream.message()).await {
            Ok(Ok(Some(message))) => message,
            Ok(Ok(None)) => return Ok(if args.until_caught_up { End::CaughtUp } else { End::Passing(broken_off()) }),
            Ok(Err(status)) => return judged(&status, file.as_deref()),
            Err(_) => return Ok(End::Passing(silent())),
        };
        let (Some(event), revision) = (message.event, message.revision) else { continue };
        if let Some(cursor) = lines.take(event, revision, &mut context.out)? {
            // Only what has gone out is behind us.
            context.out.finish()?;
            if let Some(file) = &mut file {
                file.write(&cursor)?;
            }
            *from = From::Cursor(cursor);
        } else {
            context.out.finish()?;
        }
    }
}

enum Broken {
    Status(Status),
    Stop(Stop),
}

async fn begin(
    request: pb::WatchBookRequest,
    context: &mut Context,
) -> Result<Streaming<pb::WatchBookResponse>, Broken> {
    let deadline = context.deadline();
    let mut book = context.book().await.map_err(Broken::Stop)?;
    // No deadline goes with the call, which is to last.
    match tokio::time::timeout(deadline, book.watch_book(Request::new(request))).await {
        Ok(Ok(reply)) => Ok(reply.into_inner()),
        Ok(Err(status)) => Err(Broken::Status(status)),
        Err(_) => Err(Broken::Stop(silent().into())),
    }
}

/// Whether what the service says may pass by itself.
fn judged(status: &Status, file: Option<&CursorFile>) -> Result<End, Stop> {
    let mut failure = Failure::status(status, FLAGS);
    if Failure::may_pass(status) {
        return Ok(End::Passing(failure));
    }
    if let Some(file) = file.filter(|file| file.cursor().is_some() && failure.next.ends_with("--from start")) {
        failure.next = format!("remove {} and begin anew: baybook feed --from start", file.path().display());
    }
    Err(failure.into())
}

fn silent() -> Failure {
    Failure::new(Exit::Unreachable, "the service went silent")
        .at("the stream", format!("nothing came for {} s", SILENCE.as_secs()))
        .next("is it running? baybook serve")
}

fn broken_off() -> Failure {
    Failure::new(Exit::Unreachable, "the stream ended")
        .at("the stream", "it ends only when it is told to")
        .next("try again")
}

/// Returns the cursor that an event carries.
fn cursor_of(event: &Event) -> Option<&str> {
    let cursor = match event {
        Event::Entries(_) => return None,
        Event::SnapshotEnd(end) => &end.cursor,
        Event::Commits(some) => {
            return some.commits.iter().rev().map(|one| one.cursor.as_str()).find(|it| !it.is_empty());
        }
        Event::Bookmark(bookmark) => &bookmark.cursor,
    };
    Some(cursor)
}
