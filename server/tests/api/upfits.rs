//! `UpfitsService`: one plan, and streams of them.

use std::time::Duration;

use baybook_proto::v1 as pb;
use baybook_proto::v1::checked_plan::Outcome;
use baybook_server::{Limits, embed::Message};
use sha2::{Digest as _, Sha256};
use tokio::sync::mpsc;
use tokio_stream::StreamExt as _;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Code, Status};

use crate::rig::{Rig, plan, vehicle, wrong};

type Replies = Result<Vec<pb::CheckUpfitsResponse>, Status>;

fn message(plans: impl IntoIterator<Item = (i64, Option<pb::UpfitPlan>)>) -> pb::CheckUpfitsRequest {
    let plans = plans.into_iter().map(|(seq, plan)| pb::NumberedPlan { seq, plan: plan.map(Box::new) }).collect();
    pb::CheckUpfitsRequest { plans, ..Default::default() }
}

async fn check(rig: &Rig, messages: Vec<pb::CheckUpfitsRequest>) -> Replies {
    let mut stream = rig.upfits().check_upfits(tokio_stream::iter(messages)).await?.into_inner();
    let mut replies = Vec::new();
    while let Some(reply) = stream.message().await? {
        replies.push(reply);
    }
    Ok(replies)
}

/// The summary a caller works out for itself from the answers.
fn digest(replies: &[pb::CheckUpfitsResponse]) -> String {
    let mut hash = Sha256::new();
    for checked in replies.iter().flat_map(|reply| &reply.results) {
        let (verdict, rules) = match checked.outcome.as_ref().unwrap() {
            Outcome::Error(_) => ("UNREADABLE", Vec::new()),
            Outcome::Report(report) => {
                let verdict = report.verdict().as_str_name().strip_prefix("VERDICT_").unwrap();
                (verdict, report.findings.iter().map(|finding| finding.rule.as_str()).collect())
            }
        };
        hash.update(format!("{} {verdict} {}\n", checked.seq, rules.join(",")));
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

fn seqs(replies: &[pb::CheckUpfitsResponse]) -> Vec<i64> {
    replies.iter().flat_map(|reply| &reply.results).map(|checked| checked.seq).collect()
}

#[tokio::test]
async fn one_plan_is_checked() {
    let rig = Rig::demo().await;
    let request = |plan, view| pb::CheckUpfitRequest { plan, view, ..Default::default() };
    let reply = rig.upfits().check_upfit(request(Some(plan("vehicles/van-l35")), 3)).await.unwrap().into_inner();
    let report = reply.report.unwrap();
    assert_eq!((report.unit.as_str(), reply.revision), ("U-1", 1));
    assert_ne!(report.verdict(), pb::Verdict::Unspecified);
    assert!(report.figures.is_some());
    assert_eq!(wrong(rig.upfits().check_upfit(request(None, 0)).await).fields(), ["plan"]);
    assert_eq!(wrong(rig.upfits().check_upfit(request(Some(plan("vehicles/van-l35")), 9)).await).fields(), ["view"]);
    let error = wrong(rig.upfits().check_upfit(request(Some(plan("vehicles/van-l53")), 0)).await);
    assert_eq!((error.code, error.reason.as_str()), (Code::NotFound, "ENTRY_NOT_FOUND"));
    assert!(error.meta("nearest").starts_with("vehicles/van-l35"), "{:?}", error.metadata);
    assert!(error.message.starts_with("plan.vehicle.name: vehicles/van-l53 is not in the book"), "{}", error.message);
    let ahead = pb::CheckUpfitRequest { min_revision: 7, ..request(Some(plan("vehicles/van-l35")), 0) };
    assert_eq!(wrong(rig.upfits().check_upfit(ahead).await).reason, "REVISION_AHEAD");
}

fn policy(name: &str) -> Option<pb::PolicyRef> {
    Some(pb::PolicyRef { policy: Some(pb::policy_ref::Policy::Name(name.to_owned())) })
}

#[tokio::test]
async fn a_report_names_the_policy_of_the_plan_or_else_of_the_call() {
    let rig = Rig::demo().await;
    let own = pb::Policy { label: "for this unit".to_owned(), drop_max_mm: Some(1.0), ..Default::default() };
    let mut told = plan("vehicles/van-l35");
    told.policy = Some(pb::PolicyRef { policy: Some(pb::policy_ref::Policy::Spec(Box::new(own))) });
    let call = |plan, policy| pb::CheckUpfitRequest { plan: Some(plan), policy, ..Default::default() };
    let used = async |request| rig.upfits().check_upfit(request).await.unwrap().into_inner().report.unwrap().policy;
    let north = policy("policies/north-depot");
    let by_call = used(call(plan("vehicles/van-l35"), north.clone())).await.unwrap();
    assert_eq!((by_call.name.as_str(), by_call.revision), ("policies/north-depot", 1));
    let by_plan = used(call(told, north.clone())).await.unwrap();
    assert_eq!((by_plan.name.as_str(), by_plan.label.as_str(), by_plan.revision), ("", "for this unit", 0));
    assert!(used(call(plan("vehicles/van-l35"), None)).await.is_none());
    let none = wrong(rig.upfits().check_upfit(call(plan("vehicles/van-l35"), policy("policies/south"))).await);
    assert_eq!((none.code, none.reason.as_str()), (Code::NotFound, "ENTRY_NOT_FOUND"));

    let settings = Some(pb::CheckSettings { policy: north, ..Default::default() });
    let batch = pb::CheckUpfitsRequest { settings, ..message([(1, Some(plan("vehicles/van-l35")))]) };
    let replies = check(&rig, vec![batch]).await.unwrap();
    let Some(Outcome::Report(report)) = replies[0].results[0].outcome.as_ref() else { panic!("a plan is unreadable") };
    assert_eq!(report.policy.as_ref().map(|used| used.name.as_str()), Some("policies/north-depot"));
}

#[tokio::test]
async fn a_rule_is_explained_or_the_nearest_are_named() {
    let rig = Rig::memory().await;
    let ask = |rule: &str| pb::ExplainRuleRequest { rule: rule.to_owned() };
    let told = rig.upfits().explain_rule(ask("gvwr")).await.unwrap().into_inner();
    assert_eq!(told.trips.unwrap().finding.unwrap().severity(), pb::Severity::Block);
    assert!(told.keeps.unwrap().finding.is_none());
    assert_eq!(wrong(rig.upfits().explain_rule(ask("gvwr-over")).await).fields(), ["rule"]);
}

#[tokio::test]
async fn the_rule_book_is_listed() {
    let rig = Rig::memory().await;
    let rules = rig.upfits().list_rules(pb::ListRulesRequest {}).await.unwrap().into_inner().rules;
    assert_eq!(rules.len(), baybook_core::rules::RULES.len());
    assert!(rules.iter().all(|rule| !rule.id.is_empty() && !rule.source.is_empty()));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_stream_of_any_length_is_answered_in_order() {
    let rig = Rig::demo().await;
    let names = ["vehicles/van-l35", "vehicles/van-m30", "vehicles/pickup-half"];
    for (messages, each) in [(0, 0), (1, 0), (1, 1), (3, 1_000), (2_000, 1)] {
        let sent: Vec<_> = (0..messages)
            .map(|m| message((0..each).map(|n| (m * 1_000 + n, Some(plan(names[(n % 3) as usize]))))))
            .collect();
        let replies = check(&rig, sent).await.unwrap();
        let expected: Vec<i64> = (0..messages).flat_map(|m| (0..each).map(move |n| m * 1_000 + n)).collect();
        assert_eq!(seqs(&replies), expected, "{messages} messages of {each}");
        assert!(replies.iter().all(|reply| reply.revision == 1));
        let (last, before) = replies.split_last().unwrap();
        assert!(before.iter().all(|reply| reply.summary.is_none()) && last.results.is_empty());
        let summary = last.summary.as_ref().unwrap();
        assert_eq!(summary.plan_count, messages * each);
        let verdicts = summary.clear_count + summary.review_count + summary.blocked_count + summary.unreadable_count;
        assert_eq!((verdicts, summary.unreadable_count), (summary.plan_count, 0));
        assert_eq!(summary.digest, digest(&replies));
    }
}

#[tokio::test]
async fn a_plan_that_cannot_be_read_is_that_item_s_error() {
    let rig = Rig::demo().await;
    let mut heavy = plan("vehicles/van-l35");
    heavy.trailer_mass = Some(pb::Mass { value_kg: Some(-1.0), ..Default::default() });
    heavy.mass_removed_kg = Some(f64::INFINITY);
    let good = || Some(plan("vehicles/van-l35"));
    let sent =
        vec![message([(1, good()), (2, None), (5, Some(heavy)), (6, Some(plan("vehicles/van-l53"))), (7, good())])];
    let replies = check(&rig, sent).await.unwrap();
    assert_eq!(seqs(&replies), [1, 2, 5, 6, 7]);
    let results = &replies[0].results;
    let error = |at: usize| match results[at].outcome.as_ref().unwrap() {
        Outcome::Error(error) => error.clone(),
        Outcome::Report(report) => panic!("{report:?}"),
    };
    assert!(
        matches!(results[0].outcome, Some(Outcome::Report(_)))
            && matches!(results[4].outcome, Some(Outcome::Report(_)))
    );
    assert_eq!(error(1).violations[0].field, "plans[1].plan");
    let fields: Vec<_> = error(2).violations.into_iter().map(|it| it.field).collect();
    assert_eq!(fields, ["plans[2].trailer_mass.value_kg", "plans[2].mass_removed_kg"]);
    assert_eq!(error(3).reason(), pb::ErrorReason::EntryNotFound);
    assert_eq!(error(3).nearest_names[0], "vehicles/van-l35");
    let summary = replies.last().unwrap().summary.clone().unwrap();
    assert_eq!((summary.plan_count, summary.unreadable_count), (5, 3));
    assert_eq!(summary.digest, digest(&replies));
}

#[tokio::test]
async fn numbers_must_rise_and_settings_come_first() {
    let rig = Rig::demo().await;
    let one = || Some(plan("vehicles/van-l35"));
    let error = wrong(check(&rig, vec![message([(3, one())]), message([(4, one()), (4, one())])]).await);
    assert_eq!((error.reason.as_str(), error.fields()), ("BAD_FIELDS", vec!["plans[1].seq"]));
    assert!(error.message.contains("greater than the number before it, 4, is 4"), "{}", error.message);
    let settings = |view, min_revision| {
        let settings = Some(pb::CheckSettings { view, min_revision, policy: None });
        pb::CheckUpfitsRequest { settings, ..message([(9, one())]) }
    };
    let late = check(&rig, vec![message([(3, one())]), settings(0, 0)]).await;
    assert_eq!(wrong(late).fields(), ["settings"]);
    assert_eq!(wrong(check(&rig, vec![settings(8, 0)]).await).fields(), ["settings.view"]);
    assert_eq!(wrong(check(&rig, vec![settings(0, 50)]).await).reason, "REVISION_AHEAD");
    let many = message((0..1_001).map(|seq| (seq, one())));
    let error = wrong(check(&rig, vec![many]).await);
    assert_eq!((error.meta("limit"), error.meta("max"), error.meta("is")), ("message_plans", "1000", "1001"));
}

#[tokio::test]
async fn a_stream_reads_one_revision_while_the_book_is_written() {
    let rig = Rig::memory().await;
    rig.put(vec![vehicle("van-7", "a")]).await;
    let (sender, receiver) = mpsc::channel(1);
    let mut stream = rig.upfits().check_upfits(ReceiverStream::new(receiver)).await.unwrap().into_inner();
    let mut first = None;
    for seq in 0..10 {
        sender.send(message([(seq, Some(plan("vehicles/van-7")))])).await.unwrap();
        let reply = stream.message().await.unwrap().unwrap();
        assert_eq!(reply.revision, 1);
        let outcome = reply.results.into_iter().next().unwrap().outcome.unwrap();
        // The same vehicle gives the same report, although it has meanwhile become another one, or has gone.
        assert_eq!(*first.get_or_insert_with(|| outcome.clone()), outcome, "{seq}");
        if seq < 5 {
            let mut heavier = vehicle("van-7", "b");
            let Some(pb::entry::Spec::Vehicle(spec)) = &mut heavier.spec else { panic!() };
            spec.gvwr = Some(pb::Mass { value_kg: Some(3_000.0 + seq as f64), ..Default::default() });
            rig.put(vec![heavier]).await;
        } else if seq == 5 {
            let gone = pb::RemoveEntryRequest {
                name: "vehicles/van-7".to_owned(),
                etag: "*".to_owned(),
                ..Default::default()
            };
            rig.book().remove_entry(gone).await.unwrap();
        }
    }
    drop(sender);
    let last = stream.message().await.unwrap().unwrap();
    assert_eq!((last.revision, last.summary.unwrap().plan_count), (1, 10));
    assert!(stream.message().await.unwrap().is_none());
}

#[tokio::test]
async fn a_caller_that_goes_away_leaves_nothing_running() {
    let limits = Limits { streams: 1, ..Default::default() };
    let rig = Rig::limited(limits).await;
    rig.put(vec![vehicle("van-7", "a")]).await;
    for _ in 0..20 {
        let (sender, receiver) = mpsc::channel(1);
        let mut stream = rig.upfits().check_upfits(ReceiverStream::new(receiver)).await.unwrap().into_inner();
        sender.send(message([(1, Some(plan("vehicles/van-7")))])).await.unwrap();
        assert!(stream.message().await.unwrap().is_some());
        let second = rig.upfits().check_upfits(tokio_stream::iter(Vec::new())).await;
        let error = wrong(second);
        assert_eq!((error.code, error.reason.as_str()), (Code::ResourceExhausted, "OVERLOADED"));
        assert!(error.details.retry_info().is_some_and(|retry| retry.retry_delay.is_some()));
        drop((stream, sender));
        // The place is free again as soon as the service has heard of it.
        let mut waited = 0;
        while check(&rig, Vec::new()).await.is_err() {
            tokio::time::sleep(Duration::from_millis(5)).await;
            waited += 1;
            assert!(waited < 400, "the stream is still running");
        }
    }
}

#[tokio::test]
async fn a_caller_that_stops_sending_or_reading_is_let_go() {
    let limits = Limits { stream_idle: Duration::from_millis(60), ..Default::default() };
    let rig = Rig::limited(limits).await;
    rig.put(vec![vehicle("van-7", "a")]).await;
    let (sender, receiver) = mpsc::channel(1);
    let mut stream = rig.upfits().check_upfits(ReceiverStream::new(receiver)).await.unwrap().into_inner();
    sender.send(message([(1, Some(plan("vehicles/van-7")))])).await.unwrap();
    assert!(stream.message().await.unwrap().is_some());
    let error = wrong(stream.message().await);
    assert_eq!((error.code, error.reason.as_str(), error.meta("limit_ms")), (Code::DeadlineExceeded, "DEADLINE", "60"));
    assert!(error.message.contains("waiting for the caller to send"), "{}", error.message);
}

#[tokio::test]
async fn answers_too_large_for_one_message_come_in_several() {
    let limits = Limits { send_bytes: 6_000, ..Default::default() };
    let rig = Rig::limited(limits).await;
    rig.put(vec![vehicle("van-7", "a")]).await;
    let sent = vec![message((0..200).map(|seq| (seq, Some(plan("vehicles/van-7")))))];
    let replies = check(&rig, sent).await.unwrap();
    assert!(replies.len() > 3);
    assert_eq!(seqs(&replies), (0..200).collect::<Vec<_>>());
    assert_eq!(replies.last().unwrap().summary.as_ref().unwrap().digest, digest(&replies));
}

/// What answers come to, however they are cut into messages: on the wire they come in shorter ones.
fn joined(answers: Vec<pb::CheckUpfitsResponse>) -> (Vec<pb::CheckedPlan>, Vec<i64>, Vec<pb::CheckSummary>) {
    let mut revisions: Vec<_> = answers.iter().map(|answer| answer.revision).collect();
    revisions.dedup();
    let summaries = answers.iter().filter_map(|answer| answer.summary.clone()).collect();
    (answers.into_iter().flat_map(|answer| answer.results).collect(), revisions, summaries)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_a_wire_the_same_stream_gets_the_same_answers() {
    let rig = Rig::demo().await;
    let mut heavy = plan("vehicles/van-l35");
    heavy.trailer_mass = Some(pb::Mass { value_kg: Some(-1.0), ..Default::default() });
    let one = || Some(plan("vehicles/van-l35"));
    let settings = |view| pb::CheckUpfitsRequest {
        settings: Some(pb::CheckSettings { view, min_revision: 0, policy: None }),
        ..message([(1, one()), (2, None), (3, Some(heavy.clone())), (4, Some(plan("vehicles/van-l53")))])
    };
    let streams = [
        vec![],
        vec![settings(1), message((5..900).map(|seq| (seq, one())))],
        vec![settings(3), message([(5, one())])],
        // What ends a stream: numbers that do not rise, a view that is none, too many plans, late settings.
        vec![settings(2), message([(4, one())])],
        vec![settings(9)],
        vec![message((0..1_001).map(|seq| (seq, one())))],
        vec![message([(0, one())]), settings(2)],
    ];
    for (index, stream) in streams.into_iter().enumerate() {
        let (send, messages) = mpsc::channel(1);
        let mut answers = rig.embedded.service().check_upfits(messages).unwrap();
        let sent = stream.clone();
        tokio::spawn(async move {
            for (at, message) in sent.into_iter().enumerate() {
                // Whether a message is there or still to be made is all the same.
                let message = match (index + at) % 2 {
                    0 => Message::Ready(message),
                    _ => Message::Later(Box::new(move || message)),
                };
                // A stream that has ended takes nothing more.
                let _ = send.send(message).await;
            }
        });
        let mut here = Ok(Vec::new());
        while let Some(answer) = answers.next().await {
            here = here.and_then(|before: Vec<_>| answer.map(|answer| [before, vec![answer]].concat()));
        }
        match (check(&rig, stream).await, here) {
            (Ok(wire), Ok(here)) => assert_eq!(joined(wire), joined(here), "stream {index}"),
            (Err(wire), Err(here)) => {
                assert_eq!((wire.code(), wire.message()), (here.code(), here.message()), "stream {index}");
                let (wire, here) = (wrong::<()>(Err(wire)), wrong::<()>(Err(here)));
                let parts = |it: &crate::rig::Wrong| {
                    let fields: Vec<_> = it.fields().into_iter().map(str::to_owned).collect();
                    let mut metadata = it.metadata.clone();
                    metadata.remove("request_id");
                    (it.reason.clone(), fields, metadata)
                };
                assert_eq!(parts(&wire), parts(&here), "stream {index}");
            }
            (wire, here) => panic!("stream {index}: {wire:?} on the wire, {here:?} here"),
        }
    }
}

#[tokio::test]
async fn without_a_wire_the_limits_are_the_same() {
    let rig = Rig::limited(Limits { streams: 1, ..Limits::default() }).await;
    let service = rig.embedded.service().clone();
    let (_held, messages) = mpsc::channel(1);
    let _running = service.check_upfits(messages).unwrap();
    let (_, messages) = mpsc::channel(1);
    assert_eq!(wrong(service.check_upfits(messages)).reason, "OVERLOADED");
    service.close().await.unwrap();
    let (_, messages) = mpsc::channel(1);
    assert_eq!(wrong(service.check_upfits(messages)).reason, "STOPPING");
}

#[tokio::test]
async fn a_plan_is_explained_by_its_figures_and_what_would_clear_it() {
    let rig = Rig::demo().await;
    let mut heavy = plan("vehicles/van-l35");
    let mass = |kg| Some(pb::Mass { value_kg: Some(kg), printed: String::new() });
    heavy.items.push(pb::LoadItem {
        label: "cargo".to_owned(),
        mass: mass(2500.0),
        station_mm: Some(3000.0),
        permanent: false,
    });
    heavy.receiver =
        Some(pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name("receivers/van-tuck".to_owned())) });
    heavy.ball_mount = Some(pb::BallMountRef {
        ball_mount: Some(pb::ball_mount_ref::BallMount::Name("ballmounts/two-in-drop-2".to_owned())),
    });
    heavy.ball = Some(pb::BallRef { ball: Some(pb::ball_ref::Ball::Name("balls/two-in-6000".to_owned())) });
    heavy.trailer_mass = mass(1500.0);
    heavy.tongue = mass(160.0).map(pb::upfit_plan::Tongue::TongueLoad);
    let ask = |plan| pb::ExplainUpfitRequest { plan, ..Default::default() };
    let told = rig.upfits().explain_upfit(ask(Some(heavy))).await.unwrap().into_inner();
    assert_eq!((told.revision, told.report.as_ref().unwrap().verdict()), (1, pb::Verdict::Blocked));
    let gross =
        told.findings.iter().find(|why| why.finding.as_ref().unwrap().rule == "gvwr").expect("it is overweight");
    assert!(
        5 < gross.lines.len() && gross.lines.iter().all(|line| !line.formula.is_empty() && !line.source.is_empty())
    );
    assert!(gross.changes.iter().any(|change| change.text.starts_with("less cargo: 2500 kg to at most")), "{gross:#?}");
    assert_eq!(wrong(rig.upfits().explain_upfit(ask(None)).await).fields(), ["plan"]);
    let ahead = pb::ExplainUpfitRequest { min_revision: 7, ..ask(Some(plan("vehicles/van-l35"))) };
    assert_eq!(wrong(rig.upfits().explain_upfit(ahead).await).reason, "REVISION_AHEAD");
}

#[tokio::test]
async fn a_vehicle_that_stands_twice_is_told_in_the_later_plan_and_in_the_summary() {
    let rig = Rig::limited(Limits { stream_vins: 2, ..Limits::default() }).await;
    let with = |unit: &str, vin: &str, year| {
        let spec = pb::Vehicle { wheelbase_mm: Some(3640.0), ..Default::default() };
        let vehicle = Some(pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Spec(Box::new(spec))) });
        Some(pb::UpfitPlan { unit: unit.into(), vin: vin.into(), vehicle, model_year: year, ..Default::default() })
    };
    let messages = vec![
        message([(1, with("a", "1M8GDM9AXKP042788", None)), (2, with("b", "1G4AH59H45G118341", None))]),
        message([
            (5, with("c", "1m8gdm9axkp042788", Some(2026))),
            (6, with("d", "1G4AH59H45G118341", None)),
            (7, with("e", "JH2RC3605MM101581", None)),
            (8, with("f", "1M8GDM9AXKP042788", None)),
        ]),
    ];
    let replies = check(&rig, messages).await.unwrap();
    assert_eq!(seqs(&replies), [1, 2, 5, 6, 7, 8], "each is answered once");
    let said: Vec<(i64, pb::Severity)> = replies
        .iter()
        .flat_map(|reply| &reply.results)
        .filter_map(|checked| {
            let Some(Outcome::Report(report)) = &checked.outcome else { panic!("{checked:?}") };
            let own = report.findings.iter().find(|finding| finding.rule == "vin-twice")?;
            Some((checked.seq, own.severity()))
        })
        .collect();
    // The window holds two vehicles: when the third comes, the first is forgotten, and the summary says so.
    assert_eq!(said, [(5, pb::Severity::Block), (6, pb::Severity::Warn)]);
    let summary = replies.last().unwrap().summary.as_ref().unwrap();
    assert_eq!(summary.digest, digest(&replies));
    assert_eq!((summary.twin_count, summary.vins_forgotten_count), (2, 2));
    assert_eq!(summary.twins[0], pb::VinTwin { first_seq: 1, seq: 5, alike: false });
}
