//! How a rule works, and how a figure came about.

use baybook_core::rules::{self, RULES, examples};
use baybook_proto::v1 as pb;

use crate::error::ApiError;
use crate::wire::explain::rule_to_wire;

/// Explains one rule.
pub(super) fn rule(wire: &pb::ExplainRuleRequest) -> Result<pb::ExplainRuleResponse, ApiError> {
    let id = wire.rule.trim();
    match rules::find(id).and_then(examples::explain) {
        Some(explained) => Ok(rule_to_wire(&explained)),
        None => Err(ApiError::field("rule", no_such_rule(id))),
    }
}

/// Says that there is no such rule, and which come nearest.
fn no_such_rule(id: &str) -> String {
    if id.is_empty() {
        return "is required: the id of a rule, such as gawr-rear".to_owned();
    }
    let words: Vec<&str> = id.split('-').filter(|word| !word.is_empty()).collect();
    let shared = |rule: &str| words.iter().filter(|word| rule.split('-').any(|other| other == **word)).count();
    let mut near: Vec<&str> = RULES.iter().map(|rule| rule.id).filter(|rule| 0 < shared(rule)).collect();
    near.sort_by_key(|rule| std::cmp::Reverse(shared(rule)));
    near.truncate(5);
    let shown: String = id.chars().take(80).collect();
    if near.is_empty() {
        return format!("is {shown:?}, which no rule has; ListRules names all {}", RULES.len());
    }
    format!("is {shown:?}, which no rule has; nearest: {}", near.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_id_is_answered_with_the_nearest() {
        assert!(no_such_rule("gawr-rear-axle").contains("nearest: gawr-rear"));
        assert!(no_such_rule("zzz").contains("ListRules"));
        assert!(no_such_rule("").contains("required"));
    }
}
