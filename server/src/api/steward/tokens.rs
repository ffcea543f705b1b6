//! Issuing, listing and revoking tokens.

use std::time::Duration;

use baybook_proto::v1 as pb;

use crate::access::audit::WHOEVER;
use crate::access::token::Token;
use crate::access::{Principal, Role};
use crate::book::catalog::timestamp;
use crate::book::{BookError, Change, Commit, Committed, Expect, Moment, Name, Precondition};
use crate::error::ApiError;
use crate::service::State;
use crate::wire::Fields;

/// The shortest life of a token.
const SHORTEST: Duration = Duration::from_secs(60);

/// Seconds of a day.
const DAY: u64 = 86_400;

pub(super) async fn issue(
    state: &State,
    wire: pb::IssueTokenRequest,
    who: Principal,
) -> Result<pb::IssueTokenResponse, ApiError> {
    let limits = &state.limits;
    let mut fields = Fields::default();
    let role = role_from_wire(wire.role);
    if role.is_none() {
        fields.reject("role", "is required: bay (1), foreman (2), dispatch (3), auditor (4) or admin (5)");
    }
    if wire.holder.trim().is_empty() {
        fields.reject("holder", "is required: who holds the token");
    }
    let holder = fields.text("holder", &wire.holder, limits.holder_chars);
    let bay = fields.text("bay", &wire.bay, limits.bay_chars);
    let (least, most) = (SHORTEST.as_secs(), limits.token_days as u64 * DAY);
    // Whole seconds; what is no number is in no range.
    let life = wire.life_s.filter(|life| (least as f64..=most as f64).contains(life)).map(|life| life as u64);
    if life.is_none() {
        let is = wire.life_s.map_or("is missing".to_owned(), |life| format!("is {life}"));
        fields.reject("life_s", format!("must be {least} to {most} s, {is}"));
    }
    let (role, life) = fields.finish(role.zip(life))?;
    let kept = state.access.tokens().len();
    if kept >= limits.tokens {
        return Err(ApiError::OverLimit {
            limit: "tokens",
            max: limits.tokens as u64,
            is: kept as u64 + 1,
            unit: "tokens",
        });
    }
    let now = Moment::now();
    let ends = Moment::from_micros(now.micros().saturating_add(i64::try_from(life * 1_000_000).unwrap_or(i64::MAX)));
    let (token, secret) =
        Token::issue(role, &holder, &bay, now, ends).map_err(|error| ApiError::Fault { why: error.to_string() })?;
    let committed = write(state, &token, Expect::Absent, now, &who).await?;
    Ok(pb::IssueTokenResponse {
        token: Some(to_wire(&token)),
        text: secret.reveal(),
        revision: committed.revision.to_wire(),
    })
}

pub(super) fn list(state: &State) -> pb::ListTokensResponse {
    let revision = state.catalog.revision().to_wire();
    pb::ListTokensResponse { revision, tokens: state.access.tokens().iter().map(|token| to_wire(token)).collect() }
}

pub(super) async fn revoke(
    state: &State,
    wire: pb::RevokeTokenRequest,
    who: Principal,
) -> Result<pb::RevokeTokenResponse, ApiError> {
    let tokens = state.access.tokens();
    let Some(token) = tokens.iter().find(|token| token.id == wire.id) else {
        let why = format!("is {:?}, which is the id of no token: the list of tokens has them", wire.id);
        return Err(ApiError::field("id", why));
    };
    if token.revoked.is_some() {
        return Ok(pb::RevokeTokenResponse {
            token: Some(to_wire(token)),
            revision: state.catalog.revision().to_wire(),
        });
    }
    let now = Moment::now();
    let token = Token { revoked: Some(now.micros()), ..token.as_ref().clone() };
    let committed = write(state, &token, Expect::Present, now, &who).await?;
    Ok(pb::RevokeTokenResponse { token: Some(to_wire(&token)), revision: committed.revision.to_wire() })
}

async fn write(
    state: &State,
    token: &Token,
    expect: Expect,
    time: Moment,
    who: &Principal,
) -> Result<Committed, ApiError> {
    let name = Name::new(&token.name())?;
    // Plain texts and numbers always have a JSON form.
    let value = serde_json::to_vec(token).unwrap_or_default().into();
    let author = who.author_or(WHOEVER);
    let commit = Commit {
        preconditions: vec![Precondition { name: name.clone(), expect }],
        changes: vec![Change::Put { name, value }],
        author,
        time,
        ..Commit::default()
    };
    state.book().commit(commit).await.map_err(|error| match error {
        BookError::Precondition { .. } => {
            ApiError::Fault { why: "two tokens were about to be given the same id".to_owned() }
        }
        other => other.into(),
    })
}

fn to_wire(token: &Token) -> pb::Token {
    let time = |micros| Some(timestamp(Moment::from_micros(micros)));
    pb::Token {
        id: token.id.clone(),
        role: role_to_wire(token.role).into(),
        holder: token.holder.clone(),
        bay: token.bay.clone(),
        issue_time: time(token.issued),
        end_time: time(token.ends),
        revoke_time: token.revoked.and_then(time),
        struck: token.is_struck(),
    }
}

fn role_from_wire(role: i32) -> Option<Role> {
    Role::ALL.into_iter().find(|known| i32::from(role_to_wire(*known)) == role)
}

const fn role_to_wire(role: Role) -> pb::Role {
    match role {
        Role::Bay => pb::Role::Bay,
        Role::Foreman => pb::Role::Foreman,
        Role::Dispatch => pb::Role::Dispatch,
        Role::Auditor => pb::Role::Auditor,
        Role::Admin => pb::Role::Admin,
    }
}
