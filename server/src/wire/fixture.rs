//! The demonstration book as a look-up, and a plan on it, for tests.

use std::{collections::BTreeMap, sync::OnceLock};

use baybook_proto::v1::{self as pb, upfit_plan::Tongue};

use super::{Fields, Lookup, Spec};

const PAGES: [&str; 6] = [
    include_str!("../../../deploy/demo/book/couplings.json"),
    include_str!("../../../deploy/demo/book/fasteners.json"),
    include_str!("../../../deploy/demo/book/receivers.json"),
    include_str!("../../../deploy/demo/book/shop.json"),
    include_str!("../../../deploy/demo/book/trailers.json"),
    include_str!("../../../deploy/demo/book/vehicles.json"),
];

/// Returns every entry of the demonstration book.
pub(crate) fn entries() -> &'static [pb::Entry] {
    static ENTRIES: OnceLock<Vec<pb::Entry>> = OnceLock::new();
    ENTRIES
        .get_or_init(|| PAGES.iter().flat_map(|page| serde_json::from_str::<Vec<pb::Entry>>(page).unwrap()).collect())
}

/// A book in memory.
#[derive(Debug, Default)]
pub(crate) struct Book(pub(crate) BTreeMap<String, Spec>);

impl Book {
    /// Returns the demonstration book, read once.
    pub(crate) fn demo() -> &'static Self {
        static DEMO: OnceLock<Book> = OnceLock::new();
        DEMO.get_or_init(Self::read)
    }

    fn read() -> Self {
        let mut fields = Fields::default();
        let mut book = Self::default();
        for entry in entries() {
            let spec = Spec::from_entry(entry, &mut fields);
            book.0.insert(entry.name.clone(), fields.finish(spec).unwrap());
        }
        book
    }
}

impl Lookup for Book {
    fn find(&self, name: &str) -> Option<Spec> {
        self.0.get(name).cloned()
    }

    fn nearest(&self, name: &str) -> Vec<String> {
        let folder = name.split_once('/').map_or("", |(folder, _)| folder);
        self.0.keys().filter(|other| other.starts_with(folder)).take(1).cloned().collect()
    }
}

/// Returns a mass as a number.
pub(crate) fn kg(value: f64) -> Option<pb::Mass> {
    Some(pb::Mass { value_kg: Some(value), printed: String::new() })
}

/// Returns a torque as a number.
pub(crate) fn n_m(value: f64) -> Option<pb::Torque> {
    Some(pb::Torque { value_n_m: Some(value), printed: String::new() })
}

/// Returns an ordinary plan on the demonstration book.
pub(crate) fn plan() -> pb::UpfitPlan {
    let joint = |id: &str| pb::PlannedJoint {
        id: id.to_owned(),
        finish: Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(FINISH.to_owned())) }),
        planned_torque: n_m(80.0),
        ..pb::PlannedJoint::default()
    };
    let book = Book::demo();
    let Some(Spec::Receiver(receiver)) = book.find(RECEIVER) else { panic!("the demonstration book lost {RECEIVER}") };
    pb::UpfitPlan {
        unit: "L35-017".to_owned(),
        vehicle: Some(vehicle_ref(VEHICLE)),
        receiver: Some(receiver_ref(RECEIVER)),
        ball_mount: Some(pb::BallMountRef {
            ball_mount: Some(pb::ball_mount_ref::BallMount::Name("ballmounts/two-in-drop-0".to_owned())),
        }),
        ball: Some(pb::BallRef { ball: Some(pb::ball_ref::Ball::Name("balls/two-in-6000".to_owned())) }),
        trailer: Some(trailer_ref("trailers/flatbed-2t")),
        trailer_mass: Some(pb::Mass { value_kg: None, printed: "3,500 lb".to_owned() }),
        tongue: Some(Tongue::TongueShare(0.11)),
        items: vec![
            pb::LoadItem {
                label: "driver and mate".to_owned(),
                mass: kg(170.0),
                station_mm: Some(900.0),
                permanent: false,
            },
            pb::LoadItem { label: "racking".to_owned(), mass: kg(180.0), station_mm: Some(2900.0), permanent: true },
        ],
        jurisdiction: "US-TX".to_owned(),
        spring_bars: Some(false),
        brake_controller: Some(true),
        socket: pb::Socket::SevenWayLight.into(),
        joints: receiver.joints.iter().map(|spec| joint(&spec.id)).collect(),
        ..pb::UpfitPlan::default()
    }
}

pub(crate) const VEHICLE: &str = "vehicles/van-l35";
pub(crate) const RECEIVER: &str = "receivers/van-tuck";
pub(crate) const FINISH: &str = "finishes/zinc-dry";

pub(crate) fn vehicle_ref(name: &str) -> pb::VehicleRef {
    pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name(name.to_owned())) }
}

pub(crate) fn receiver_ref(name: &str) -> pb::ReceiverRef {
    pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name(name.to_owned())) }
}

pub(crate) fn trailer_ref(name: &str) -> pb::TrailerRef {
    pb::TrailerRef { trailer: Some(pb::trailer_ref::Trailer::Name(name.to_owned())) }
}

/// Returns the paths of everything that is wrong, in the order of the message.
pub(crate) fn paths(error: &super::WireError) -> Vec<&str> {
    error.violations.iter().map(|violation| violation.field.as_str()).collect()
}
