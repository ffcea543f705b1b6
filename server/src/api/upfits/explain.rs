//! How a rule works, and how a figure came about.

use std::sync::Arc;

use baybook_core::explain::{self, Stock};
use baybook_core::model::policy::Policy;
use baybook_core::rules::{self, RULES, examples};
use baybook_proto::v1 as pb;

use crate::api::at_least;
use crate::book::catalog::View;
use crate::error::ApiError;
use crate::service::State;
use crate::wire::explain::{rule_to_wire, upfit_to_wire};
use crate::wire::{Fields, Spec, plan_in};

/// The most parts of one kind that are tried in the place of the planned one, in the order of their names.
const PARTS_MAX: usize = 500;

/// Explains one plan.
pub(super) async fn upfit(
    state: &Arc<State>,
    wire: &pb::ExplainUpfitRequest,
) -> Result<pb::ExplainUpfitResponse, ApiError> {
    let book = state.catalog.view();
    at_least(wire.min_revision, book.revision())?;
    let mut fields = Fields::default();
    let plan = match &wire.plan {
        Some(plan) => fields.under("plan", |fields| plan_in(plan, &book, fields)),
        None => fields.required("plan", None),
    };
    let policy = fields.entry::<Policy>("policy", wire.policy.as_ref(), &book);
    let plan = fields.finish(plan)?;
    let plan = if plan.policy.is_none() { plan.under(policy) } else { plan };
    // Some thousand checks of the plan are no work for a thread that serves others.
    let told = state.at_desk(move || {
        let explanation = explain::explain(&plan, &stock(&book));
        upfit_to_wire(&explanation, &plan, book.revision().to_wire())
    });
    told.await
}

/// Reads what the book holds that could be fitted instead.
fn stock(book: &View) -> Stock {
    let mut stock = Stock::default();
    for folder in ["receivers/", "ballmounts/", "balls/", "couplers/", "bedcouplings/", "bolts/"] {
        for shown in book.page(folder, None, PARTS_MAX).0 {
            match shown.spec() {
                Some(Spec::Receiver(part)) => stock.receivers.push(Arc::clone(part)),
                Some(Spec::BallMount(part)) => stock.ball_mounts.push(Arc::clone(part)),
                Some(Spec::Ball(part)) => stock.balls.push(Arc::clone(part)),
                Some(Spec::Coupler(part)) => stock.couplers.push(Arc::clone(part)),
                Some(Spec::BedCoupling(part)) => stock.bed_couplings.push(Arc::clone(part)),
                Some(Spec::Bolt(part)) => stock.bolts.push(Arc::clone(part)),
                _ => {}
            }
        }
    }
    stock
}

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
