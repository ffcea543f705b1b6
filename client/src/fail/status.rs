//! A reply of the service that says no, as a failure: its exit code, its places as flags, and what to type next.

use baybook_proto::v1::ErrorReason;
use tonic::{Code, Status};
use tonic_types::{ErrorInfo, StatusExt as _};

use super::{Exit, Failure, Flags};

impl Failure {
    /// A reply of the service that says no; field paths are turned back into flags.
    pub fn status(status: &Status, flags: Flags) -> Self {
        let details = status.get_error_details();
        let info = details.error_info();
        let reason = reason_of(info);
        let known = |key: &str| info.and_then(|info| info.metadata.get(key)).filter(|value| !value.is_empty());
        let mut failure = Self::new(exit_of(reason, status.code()), status.message().trim_end_matches('.'));
        let violations = details.bad_request().map(|bad| bad.field_violations.as_slice()).unwrap_or_default();
        for violation in violations {
            failure = failure.at(flags.place(&violation.field), violation.description.clone());
        }
        match violations {
            [] => {}
            [_] => "an input cannot be used".clone_into(&mut failure.what),
            all => failure.what = format!("{} inputs cannot be used", all.len()),
        }
        if failure.places.is_empty()
            && let Some(name) = known("name").or_else(|| known("names"))
        {
            let why = known("changed").map_or_else(String::new, |changed| format!("changed meanwhile: {changed}"));
            failure = failure.at(name.clone(), why);
        }
        if reason == ErrorReason::Unspecified && matches!(status.code(), Code::Unknown | Code::Internal) {
            failure.what = "the connection to the service broke off".to_owned();
            failure = failure.at("the connection", status.message());
        }
        failure.next = next_of(reason, status.code(), &known);
        failure
    }

    /// Whether the same call may succeed a little later, with nothing changed: the service is away, stopping or busy.
    pub fn may_pass(status: &Status) -> bool {
        use ErrorReason as R;
        match reason_of(status.get_error_details().error_info()) {
            R::Overloaded | R::Deadline | R::Stopping | R::TooSlow => true,
            // A connection that breaks is told in any of these words.
            R::Unspecified => matches!(
                status.code(),
                Code::Unavailable
                    | Code::DeadlineExceeded
                    | Code::Cancelled
                    | Code::ResourceExhausted
                    | Code::Unknown
                    | Code::Internal
            ),
            _ => false,
        }
    }
}

fn reason_of(info: Option<&ErrorInfo>) -> ErrorReason {
    info.and_then(|info| ErrorReason::from_str_name(&format!("ERROR_REASON_{}", info.reason)))
        .unwrap_or(ErrorReason::Unspecified)
}

fn exit_of(reason: ErrorReason, code: Code) -> Exit {
    use ErrorReason as R;
    match reason {
        R::BadFields | R::RequestIdReused | R::NotCalculable | R::OverLimit => Exit::Usage,
        R::EntryNotFound | R::RevisionGone | R::CursorGone => Exit::NotFound,
        R::EntryExists | R::StaleEtag | R::EntryInUse => Exit::Conflict,
        R::Overloaded | R::Deadline | R::Stopping | R::RevisionAhead | R::TooSlow => Exit::Unreachable,
        R::Damaged => Exit::Damaged,
        R::Unidentified | R::Denied => Exit::Denied,
        R::ReadOnly | R::DiskFull | R::Fault | R::NoSuchMethod => Exit::Fault,
        R::Unspecified => match code {
            Code::Ok => Exit::Ok,
            Code::InvalidArgument | Code::OutOfRange => Exit::Usage,
            Code::NotFound => Exit::NotFound,
            Code::AlreadyExists | Code::Aborted | Code::FailedPrecondition => Exit::Conflict,
            Code::PermissionDenied | Code::Unauthenticated => Exit::Denied,
            Code::Unavailable | Code::DeadlineExceeded | Code::Cancelled | Code::ResourceExhausted => Exit::Unreachable,
            Code::DataLoss => Exit::Damaged,
            // The service gives a reason for each of its faults: this is the connection.
            Code::Unknown | Code::Internal => Exit::Unreachable,
            Code::Unimplemented => Exit::Fault,
        },
    }
}

fn next_of<'a>(reason: ErrorReason, code: Code, known: &dyn Fn(&str) -> Option<&'a String>) -> String {
    use ErrorReason as R;
    let fixed = match reason {
        R::EntryNotFound => match (known("nearest"), known("name")) {
            (Some(nearest), _) => return format!("one of the nearest names: {nearest}"),
            (None, Some(name)) => {
                let folder = name.split_once('/').map_or("", |(folder, _)| folder);
                return format!("baybook book list {folder}").trim_end().to_owned();
            }
            (None, None) => "baybook book list",
        },
        R::EntryExists => "--etag '*' to replace it, or another name",
        R::StaleEtag => match known("name") {
            Some(name) => return format!("baybook book get {name}, mind the change, and send its etag"),
            None => "read the entry again and send its etag",
        },
        R::EntryInUse => match known("used_by") {
            Some(users) => return format!("change what still refers to it first: {users}"),
            None => "change what still refers to it first",
        },
        R::RequestIdReused => "another --request-id",
        R::OverLimit => "baybook info lists every limit",
        R::Overloaded | R::Stopping => "try again in a moment",
        R::Deadline => "a longer --deadline, such as --deadline 120s",
        R::RevisionGone | R::RevisionAhead => "leave the revision out to read the newest",
        R::CursorGone => "baybook feed --from start",
        R::TooSlow => match known("cursor") {
            Some(cursor) => return format!("baybook feed --from {cursor}"),
            None => "baybook feed --from start",
        },
        R::NoSuchMethod => "the service is of another release; baybook info",
        R::ReadOnly => "restart the service; baybook serve",
        R::DiskFull => "free space on the disk of the data folder",
        R::Damaged => match known("next") {
            Some(next) => return next.clone(),
            None => "restore the book from its last export: baybook book import FILE",
        },
        R::Unidentified => "--token-file FILE, with a token of baybook token issue",
        R::Denied => match known("roles") {
            Some(roles) => return format!("a token of another role: {roles}"),
            None => "a token of another role",
        },
        R::Fault => match known("request_id") {
            Some(id) => return format!("look for {id} in the service's log"),
            None => "look into the service's log",
        },
        R::BadFields | R::NotCalculable => "correct the input; --help shows two examples",
        R::Unspecified => match code {
            Code::Unavailable => "is the service running? baybook serve",
            Code::DeadlineExceeded | Code::Cancelled => "a longer --deadline, such as --deadline 120s",
            Code::Unimplemented => "the service is of another release; baybook info",
            _ => "baybook info shows whether the service answers",
        },
    };
    fixed.to_owned()
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use tonic_types::ErrorDetails;

    use super::*;
    use crate::fail::Place;

    const FLAGS: Flags = Flags(&[("bolt", "--bolt"), ("bolt.thread", "--thread"), ("window_share", "--window")]);

    #[test]
    fn every_violation_is_told_with_its_flag() {
        let mut details = ErrorDetails::new();
        details.add_bad_request_violation("bolt.spec.thread", "is \"M12x\", which has no pitch");
        details.add_bad_request_violation("window_share", "is required: 0 to 0.5");
        details.add_bad_request_violation("bolts", "is not a field");
        details.set_error_info("BAD_FIELDS", "baybook.v1", HashMap::new());
        let status = Status::with_error_details(Code::InvalidArgument, "3 fields", details);
        let failure = Failure::status(&status, FLAGS);
        assert_eq!(failure.exit, Exit::Usage);
        assert_eq!(
            failure.to_string(),
            "error: 3 inputs cannot be used\n\
             \x20 where  --thread (bolt.spec.thread)\n\
             \x20 why    is \"M12x\", which has no pitch\n\
             \x20 where  --window (window_share)\n\
             \x20 why    is required: 0 to 0.5\n\
             \x20 where  bolts\n\
             \x20 why    is not a field\n\
             \x20 next   correct the input; --help shows two examples\n"
        );
    }

    #[test]
    fn a_name_that_is_not_there_offers_the_nearest() {
        let metadata = HashMap::from([
            ("name".to_owned(), "vehicles/van-71".to_owned()),
            ("nearest".to_owned(), "vehicles/van-7, vehicles/van-17".to_owned()),
        ]);
        let details = ErrorDetails::with_error_info("ENTRY_NOT_FOUND", "baybook.v1", metadata);
        let status = Status::with_error_details(Code::NotFound, "vehicles/van-71 is not in the book", details);
        let failure = Failure::status(&status, Flags::NONE);
        assert_eq!(failure.exit, Exit::NotFound);
        assert_eq!(failure.next, "one of the nearest names: vehicles/van-7, vehicles/van-17");
        assert_eq!(failure.places, [Place { at: "vehicles/van-71".to_owned(), why: String::new() }]);
    }

    #[test]
    fn every_reason_has_an_exit_code_of_its_own_kind() {
        use ErrorReason as R;
        let rows = [
            (R::BadFields, 2),
            (R::EntryNotFound, 4),
            (R::EntryExists, 5),
            (R::StaleEtag, 5),
            (R::RequestIdReused, 2),
            (R::NotCalculable, 2),
            (R::OverLimit, 2),
            (R::RevisionGone, 4),
            (R::RevisionAhead, 7),
            (R::CursorGone, 4),
            (R::TooSlow, 7),
            (R::EntryInUse, 5),
            (R::Overloaded, 7),
            (R::Deadline, 7),
            (R::ReadOnly, 1),
            (R::DiskFull, 1),
            (R::Damaged, 8),
            (R::Stopping, 7),
            (R::Fault, 1),
            (R::NoSuchMethod, 1),
        ];
        for (reason, exit) in rows {
            assert_eq!(exit_of(reason, Code::Unknown) as u8, exit, "{reason:?}");
        }
        for (code, exit) in [
            (Code::InvalidArgument, 2),
            (Code::NotFound, 4),
            (Code::Aborted, 5),
            (Code::PermissionDenied, 6),
            (Code::Unauthenticated, 6),
            (Code::Unavailable, 7),
            (Code::DeadlineExceeded, 7),
            (Code::DataLoss, 8),
            (Code::Unimplemented, 1),
            (Code::Internal, 7),
            (Code::Unknown, 7),
        ] {
            assert_eq!(exit_of(R::Unspecified, code) as u8, exit, "{code:?}");
        }
    }

    #[test]
    fn a_connection_that_breaks_off_is_no_fault_of_the_service() {
        let failure = Failure::status(&Status::internal("h2 protocol error: error reading a body"), FLAGS);
        assert_eq!(failure.exit as u8, 7);
        let told = failure.to_string();
        assert!(told.starts_with("error: the connection to the service broke off\n"), "{told}");
        assert!(told.contains("h2 protocol error") && told.contains("baybook info"), "{told}");
    }
}
