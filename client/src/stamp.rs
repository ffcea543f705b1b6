//! Moments as text.

use pbjson_types::Timestamp;

/// Returns a moment to the second, in UTC, as its JSON form has it; `unknown` when there is none.
pub fn text(moment: Option<&Timestamp>) -> String {
    let whole = moment.map(|moment| Timestamp { seconds: moment.seconds, nanos: 0 });
    match whole.map(serde_json::to_value) {
        Some(Ok(serde_json::Value::String(text))) => text.replace("+00:00", "Z").replace('T', " "),
        _ => "unknown".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_reads_to_the_second() {
        let moment = Timestamp { seconds: 1_761_000_000, nanos: 987_000_000 };
        assert_eq!(text(Some(&moment)), "2025-10-20 22:40:00Z");
        assert_eq!(text(None), "unknown");
    }
}
