//! What it costs to read an upfit plan with every name resolved, and to write its report.

use std::collections::HashMap;
use std::hint::black_box;

use baybook_core::rules;
use baybook_proto::v1::{self as pb, upfit_plan::Tongue};
use baybook_server::wire::report::report_to_wire;
use baybook_server::wire::{Fields, Lookup, Spec, plan_in};
use criterion::{Criterion, criterion_group, criterion_main};

const PAGES: [&str; 6] = [
    include_str!("../../deploy/demo/book/couplings.json"),
    include_str!("../../deploy/demo/book/fasteners.json"),
    include_str!("../../deploy/demo/book/receivers.json"),
    include_str!("../../deploy/demo/book/shop.json"),
    include_str!("../../deploy/demo/book/trailers.json"),
    include_str!("../../deploy/demo/book/vehicles.json"),
];

struct Book(HashMap<String, Spec>);

impl Lookup for Book {
    fn find(&self, name: &str) -> Option<Spec> {
        self.0.get(name).cloned()
    }

    fn nearest(&self, _: &str) -> Vec<String> {
        Vec::new()
    }
}

fn book() -> Book {
    let mut fields = Fields::default();
    let mut book = HashMap::new();
    for page in PAGES {
        for entry in serde_json::from_str::<Vec<pb::Entry>>(page).unwrap_or_default() {
            let spec = Spec::from_entry(&entry, &mut fields);
            if let Ok(spec) = fields.finish(spec) {
                book.insert(entry.name, spec);
            }
        }
    }
    Book(book)
}

fn plan() -> pb::UpfitPlan {
    let item = |label: &str, mass_kg, station| pb::LoadItem {
        label: label.to_owned(),
        mass: Some(pb::Mass { value_kg: Some(mass_kg), printed: String::new() }),
        station_mm: Some(station),
        permanent: true,
    };
    let vehicle = pb::vehicle_ref::Vehicle::Name("vehicles/van-l35".to_owned());
    let receiver = pb::receiver_ref::Receiver::Name("receivers/van-tuck".to_owned());
    let mount = pb::ball_mount_ref::BallMount::Name("ballmounts/two-in-drop-0".to_owned());
    let ball = pb::ball_ref::Ball::Name("balls/two-in-6000".to_owned());
    let trailer = pb::trailer_ref::Trailer::Name("trailers/flatbed-2t".to_owned());
    let finish = pb::finish_ref::Finish::Name("finishes/oiled".to_owned());
    pb::UpfitPlan {
        unit: "L35-017".to_owned(),
        vehicle: Some(pb::VehicleRef { vehicle: Some(vehicle) }),
        receiver: Some(pb::ReceiverRef { receiver: Some(receiver) }),
        ball_mount: Some(pb::BallMountRef { ball_mount: Some(mount) }),
        ball: Some(pb::BallRef { ball: Some(ball) }),
        trailer: Some(pb::TrailerRef { trailer: Some(trailer) }),
        trailer_mass: Some(pb::Mass { value_kg: Some(1500.0), printed: String::new() }),
        tongue: Some(Tongue::TongueShare(0.11)),
        items: vec![item("driver and mate", 170.0, 900.0), item("racking", 180.0, 2900.0)],
        jurisdiction: "US-TX".to_owned(),
        joints: vec![pb::PlannedJoint {
            id: "frame".to_owned(),
            finish: Some(pb::FinishRef { finish: Some(finish) }),
            planned_torque: Some(pb::Torque { value_n_m: Some(80.0), printed: String::new() }),
            ..pb::PlannedJoint::default()
        }],
        ..pb::UpfitPlan::default()
    }
}

fn wire(criterion: &mut Criterion) {
    let (book, plan) = (book(), plan());
    let mut fields = Fields::default();
    criterion.bench_function("read a plan", |bench| {
        bench.iter(|| {
            let upfit = plan_in(black_box(&plan), &book, &mut fields);
            fields.finish(upfit)
        });
    });
    let upfit = plan_in(&plan, &book, &mut fields);
    let Ok(upfit) = fields.finish(upfit) else { return };
    let report = rules::check(&upfit);
    for view in [pb::ReportView::Summary, pb::ReportView::Full] {
        criterion.bench_function(&format!("write a report, {}", view.as_str_name()), |bench| {
            bench.iter(|| report_to_wire(black_box(&report), &upfit, view));
        });
    }
}

criterion_group!(benches, wire);
criterion_main!(benches);
