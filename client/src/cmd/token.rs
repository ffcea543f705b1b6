//! `baybook token`: who may call the service.

use std::time::Duration;

use baybook_proto::v1 as pb;
use clap::{Args, Subcommand, ValueEnum};

use crate::{
    connect::Purpose,
    context::Context,
    fail::{Exit, Failure, Flags, Outcome},
    out,
    page::{Column, Page},
    read, stamp,
};

const EXAMPLES: &str = "\
Examples:
  baybook token issue --role admin --holder 'Ines Varga' --life 90d --data baybook-data
  baybook token list --data baybook-data

The first token is issued on the data folder while the service is stopped; later ones through the
service: --server URL --token-file FILE, with a token of the role admin.";

const FLAGS: Flags =
    Flags(&[("role", "--role"), ("holder", "--holder"), ("bay", "--bay"), ("life_s", "--life"), ("id", "ID")]);

/// Issue, list and revoke tokens
#[derive(Debug, Args)]
#[command(after_long_help = EXAMPLES)]
pub struct TokenArgs {
    #[command(subcommand)]
    command: TokenCommand,
}

#[derive(Debug, Subcommand)]
enum TokenCommand {
    Issue(IssueArgs),
    List(ListArgs),
    Revoke(RevokeArgs),
}

/// What the holder may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Role {
    /// Looks up, calculates, checks
    Bay,
    /// Also changes the book
    Foreman,
    /// Looks up, checks in bulk, takes the whole book and follows it
    Dispatch,
    /// Looks up, takes the whole book, reads who did what
    Auditor,
    /// Everything, tokens too
    Admin,
}

const ISSUE: &str = "\
Examples:
  baybook token issue --role bay --holder 'Mira Solano' --bay bay-2 --life 90d --data baybook-data
  baybook token issue --role dispatch --holder 'dispatch desk' --life 365d > dispatch.token";

/// Make a token and print it, once
///
/// The token itself is the only thing on standard output; the service keeps a hash of it and cannot show it again.
#[derive(Debug, Args)]
#[command(after_long_help = ISSUE)]
struct IssueArgs {
    /// What its holder may do
    #[arg(long, value_name = "ROLE")]
    role: Role,

    /// Who holds it
    #[arg(long, value_name = "WHO")]
    holder: String,

    /// The bay it stands in
    #[arg(long, value_name = "BAY", default_value = "", hide_default_value = true)]
    bay: String,

    /// How long it counts: 12h, 90d, at most 400d
    #[arg(long, value_name = "TIME", value_parser = life)]
    life: Duration,
}

const LIST: &str = "\
Examples:
  baybook token list --data baybook-data
  baybook token list --data baybook-data --format csv";

/// List every token ever issued, without its text
#[derive(Debug, Args)]
#[command(after_long_help = LIST)]
struct ListArgs {}

const REVOKE: &str = "\
Examples:
  id=$(baybook token list --data baybook-data --format csv | tail -n 1 | cut -d, -f1)
    baybook token revoke \"$id\" --data baybook-data
  baybook token list --data baybook-data --format csv | tail -n +2 | cut -d, -f1 |
    xargs -n 1 baybook token revoke --data baybook-data";

/// End a token at once
#[derive(Debug, Args)]
#[command(after_long_help = REVOKE)]
struct RevokeArgs {
    /// The token's id: 8c1f03aa
    #[arg(value_name = "ID")]
    id: String,
}

pub async fn run(args: TokenArgs, context: &mut Context) -> Outcome {
    match args.command {
        TokenCommand::Issue(args) => issue(args, context).await,
        TokenCommand::List(ListArgs {}) => list(context).await,
        TokenCommand::Revoke(args) => revoke(args, context).await,
    }
}

async fn issue(args: IssueArgs, context: &mut Context) -> Outcome {
    let role = match args.role {
        Role::Bay => pb::Role::Bay,
        Role::Foreman => pb::Role::Foreman,
        Role::Dispatch => pb::Role::Dispatch,
        Role::Auditor => pb::Role::Auditor,
        Role::Admin => pb::Role::Admin,
    };
    let life_s = Some(args.life.as_secs_f64());
    let request = pb::IssueTokenRequest { role: role.into(), holder: args.holder, bay: args.bay, life_s };
    let request = context.call(request);
    let reply = context.steward_for(Purpose::Write).await?.issue_token(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    if let Some(token) = &reply.token {
        let ends = stamp::text(token.end_time.as_ref());
        out::talk(&format!("token {} for {}, until {ends}; it is shown once:", token.id, token.holder));
    }
    context.out.show(&reply, |page| page.plain(&reply.text))?;
    Ok(Exit::Ok)
}

async fn list(context: &mut Context) -> Outcome {
    let request = context.call(pb::ListTokensRequest {});
    let reply = context.steward().await?.list_tokens(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    context.out.show_list(&reply, &reply.tokens, |page| draw(&reply.tokens, page))?;
    Ok(Exit::Ok)
}

async fn revoke(args: RevokeArgs, context: &mut Context) -> Outcome {
    let request = context.call(pb::RevokeTokenRequest { id: args.id });
    let reply = context.steward_for(Purpose::Write).await?.revoke_token(request).await;
    let reply = reply.map_err(|status| Failure::status(&status, FLAGS))?.into_inner();
    let tokens: Vec<_> = reply.token.iter().cloned().collect();
    context.out.show(&reply, |page| draw(&tokens, page))?;
    Ok(Exit::Ok)
}

fn draw(tokens: &[pb::Token], page: &mut Page) {
    let rows = tokens.iter().map(|token| {
        let state = match &token.revoke_time {
            _ if token.struck => "restored without its hash: issue another".to_owned(),
            Some(time) => format!("revoked {}", stamp::text(Some(time))),
            None => format!("until {}", stamp::text(token.end_time.as_ref())),
        };
        let role = token.role().as_str_name().trim_start_matches("ROLE_").to_lowercase();
        let bay = if token.bay.is_empty() { "-" } else { token.bay.as_str() };
        vec![token.id.as_str().into(), role.as_str().into(), token.holder.as_str().into(), bay.into(), state.into()]
    });
    page.table(
        &[
            Column::Words("id"),
            Column::Words("role"),
            Column::Words("holder"),
            Column::Words("bay"),
            Column::Words("counts"),
        ],
        rows.collect(),
    );
}

/// Reads how long a token counts: days too.
fn life(text: &str) -> Result<Duration, String> {
    let units = [("d", 86_400), ("h", 3_600), ("m", 60)];
    for (unit, seconds) in units {
        if let Some(count) = text.trim().strip_suffix(unit).and_then(|count| count.parse::<u64>().ok()) {
            return count.checked_mul(seconds).map(Duration::from_secs).ok_or_else(|| "is too long".to_owned());
        }
    }
    read::time(text).map_err(|_| "write it like 90d, 12h or 30m, at most 400d".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_life_is_read_in_days_hours_and_minutes() {
        assert_eq!(life("90d"), Ok(Duration::from_secs(7_776_000)));
        assert_eq!(life("12h"), Ok(Duration::from_secs(43_200)));
        assert_eq!(life("30m"), Ok(Duration::from_secs(1_800)));
        assert!(life("soon").is_err() && life("-1d").is_err() && life("99999999999999999999d").is_err());
    }
}
