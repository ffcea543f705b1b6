//! Receivers of the book, ranked in pages, and its wrenches.

use std::sync::Arc;

use baybook_core::model::receiver::Receiver;
use baybook_proto::v1 as pb;
use prost::Message as _;
use sha2::{Digest as _, Sha256};

use crate::{
    api::page::{self, Token, hex},
    book::catalog::View,
    error::ApiError,
    service::State,
    wire::{
        choose_wrench::ChooseWrench,
        fit_receivers::{FitReceivers, Stretch},
        refs::Referred,
    },
};

/// How many entries are taken from the book at a time.
const PORTION: usize = 1_000;

/// Ranks every receiver of the book; a page token keeps the revision that its first page was read at.
pub(super) async fn fit(
    state: &Arc<State>,
    wire: pb::FitReceiversRequest,
) -> Result<pb::FitReceiversResponse, ApiError> {
    let size = page::size(wire.page_size, &state.limits)?;
    let list = list_of(&wire);
    let token = Token::read(&wire.page_token, &list)?;
    let view = match &token {
        Some(token) => state.catalog.view_at(token.revision)?,
        None => state.catalog.view(),
    };
    let from = token.and_then(|token| token.after.parse().ok()).unwrap_or(0);
    let asked = FitReceivers::read(&wire, &view)?;
    let most = state.limits.fit_receivers;
    // Ten thousand receivers take tens of milliseconds; that is no work for a thread that serves others.
    let ranked = state
        .at_desk(move || {
            let receivers: Vec<Arc<Receiver>> =
                every(&view, "receivers/", ("fit_receivers", most, "receivers in one ranking"))?;
            let revision = view.revision();
            let (mut reply, long) = asked.answer(&receivers, Stretch { from, size }, revision.to_wire())?;
            if from + reply.fits.len() < long {
                let after = (from + reply.fits.len()).to_string();
                reply.next_page_token = Token { revision, after }.write(&list);
            }
            Ok(reply)
        })
        .await;
    ranked?
}

/// Names what a page is a page of: the request but for the page.
fn list_of(wire: &pb::FitReceiversRequest) -> String {
    let question = pb::FitReceiversRequest { page_size: 0, page_token: String::new(), ..wire.clone() };
    format!("fit {}", hex(&Sha256::digest(question.encode_to_vec())))
}

/// Which of the wrenches named, or of all in the book, to take.
pub(super) fn wrench(state: &Arc<State>, wire: &pb::ChooseWrenchRequest) -> Result<pb::ChooseWrenchResponse, ApiError> {
    let view = state.catalog.view();
    let mut asked = ChooseWrench::read(wire, &view)?;
    let wrenches = match asked.wrenches.take() {
        Some(wrenches) => wrenches,
        None => every(&view, "wrenches/", ("wrenches", state.limits.wrenches, "wrenches in one choice"))?,
    };
    Ok(asked.answer(&wrenches, view.revision().to_wire())?)
}

/// Reads every entry of a kind, by order of names; no more than a limit, its name and its unit allow.
fn every<D: Referred>(
    view: &View,
    folder: &str,
    (limit, most, unit): (&'static str, usize, &'static str),
) -> Result<Vec<Arc<D>>, ApiError> {
    let mut all = Vec::new();
    let mut after: Option<String> = None;
    loop {
        let (page, more) = view.page(folder, after.as_deref(), PORTION);
        all.extend(page.iter().filter_map(|shown| D::pick(shown.spec()?.clone())));
        if most < all.len() {
            return Err(ApiError::OverLimit { limit, max: most as u64, is: all.len() as u64, unit });
        }
        after = page.last().map(|last| last.record().name.to_string());
        if !more {
            return Ok(all);
        }
    }
}
