//! Questions of towing as flags of a command line.

use baybook_proto::v1 as pb;

use super::{Flags, OverCli, text};
use crate::driver::Answer;

impl Flags {
    fn mass(&mut self, flag: &str, mass: Option<pb::Mass>) {
        self.number(flag, mass.and_then(|mass| mass.value_kg), "kg");
    }

    fn number(&mut self, flag: &str, value: Option<f64>, unit: &str) {
        self.add(flag, value.map(|value| format!("{value} {unit}")));
    }

    fn share(&mut self, flag: &str, share: Option<f64>) {
        self.number(flag, share.map(|share| share * 100.0), "%");
    }
}

/// A number as written stands first, whatever it looks like.
pub fn vin(driver: &OverCli, request: &pb::CheckVinRequest) -> Answer<pb::CheckVinResponse> {
    let mut flags = Flags::default();
    let market = match request.market() {
        pb::Market::Unspecified => None,
        pb::Market::NorthAmerica => Some("north-america"),
        pb::Market::Europe => Some("europe"),
        pb::Market::Other => Some("other"),
    };
    flags.add("--market", market.map(str::to_owned));
    flags.answer("--light", request.light);
    flags.0.push(request.vin.clone());
    flags.run("vin", driver)
}

pub fn tongue(driver: &OverCli, request: pb::WeighTongueRequest) -> Answer<pb::WeighTongueResponse> {
    use pb::weigh_tongue_request::Method;
    let mut flags = Flags::default();
    match &request.method {
        Some(Method::Balance(balance)) => flags.number("--centre", balance.coupler_to_centre_mm, "mm"),
        Some(Method::Lever(lever)) => {
            flags.number("--support", lever.support_to_coupler_mm, "mm");
            flags.number("--scale", lever.coupler_to_scale_mm, "mm");
            flags.number("--reading", lever.reading_kg, "kg");
        }
        None => {}
    }
    let regime = match request.regime() {
        pb::TongueRegime::Unspecified => None,
        pb::TongueRegime::BallNorthAmerica => Some("ball-north-america"),
        pb::TongueRegime::FifthWheel => Some("fifth-wheel"),
        pb::TongueRegime::CentreAxleEurope => Some("centre-axle-europe"),
    };
    flags.add("--regime", regime.map(str::to_owned));
    let trailer = request.trailer_mass.and_then(|mass| mass.value_kg);
    flags.add("--trailer-mass", trailer.filter(|kg| *kg >= 0.0).map(|kg| format!("{kg} kg")));
    // A value that begins with a minus stands behind an equals sign.
    flags.0.extend(trailer.filter(|kg| *kg < 0.0).map(|kg| format!("--trailer-mass={kg} kg")));
    flags.number("--coupler-to-axle", request.coupler_to_axle_mm, "mm");
    flags.share("--target", request.target_share);
    for moved in &request.moves {
        let (kg, from, to) = (moved.mass_kg, moved.from_mm, moved.to_mm);
        let place = |value: Option<f64>| value.unwrap_or_default();
        let said = format!("{}={} kg@{} mm>{} mm", moved.label, place(kg), place(from), place(to));
        flags.add("--move", Some(said));
    }
    flags.run("tongue", driver)
}

pub fn coupling(driver: &OverCli, request: pb::CouplingValuesRequest) -> Answer<pb::CouplingValuesResponse> {
    let mut flags = Flags::default();
    let kind = match request.kind() {
        pb::CouplingKind::Unspecified => None,
        pb::CouplingKind::FreeDrawbar => Some("free-drawbar"),
        pb::CouplingKind::CentreAxle => Some("centre-axle"),
        pb::CouplingKind::FifthWheel => Some("fifth-wheel"),
    };
    flags.add("--kind", kind.map(str::to_owned));
    flags.mass("--vehicle", request.vehicle);
    flags.mass("--trailer", request.trailer);
    flags.mass("--static-load", request.static_load);
    flags.mass("--imposed", request.imposed);
    flags.number("--d-plate", request.d_plate_kn, "kN");
    flags.mass("--s-plate", request.s_plate);
    flags.mass("--u-plate", request.u_plate);
    flags.run("coupling", driver)
}

pub fn label(driver: &OverCli, request: pb::AddedMassRequest) -> Answer<pb::AddedMassResponse> {
    let mut flags = Flags::default();
    let gvwr = request.gvwr.and_then(|mass| mass.value_kg);
    flags.0.extend(gvwr.map(|kg| format!("--gvwr={kg} kg")));
    flags.mass("--capacity", request.capacity);
    flags.mass("--unloaded", request.unloaded);
    for change in &request.changes {
        flags.add("--added", change.added_mass_kg.map(|kg| format!("{}={kg} kg", change.by)));
        flags.add("--removed", change.removed_mass_kg.map(|kg| format!("{}={kg} kg", change.by)));
    }
    flags.answer("--history-complete", request.history_complete);
    let work = request.work.unwrap_or_default();
    let sale = match work.sale_state() {
        pb::SaleState::Unspecified => None,
        pb::SaleState::BeforeFirstSale => Some("before-first-sale"),
        pb::SaleState::InUse => Some("in-use"),
    };
    flags.add("--sale-state", sale.map(str::to_owned));
    flags.answer("--fits-hitch", work.fits_hitch);
    flags.run("label", driver)
}

pub fn axles(driver: &OverCli, request: pb::AxleLoadsRequest) -> Answer<pb::AxleLoadsResponse> {
    use pb::spring_bar_setting::Setting;
    let share = match request.spring_bars.and_then(|bars| bars.setting) {
        Some(Setting::RestorationShare(share)) => Some(format!("{} %", share * 100.0)),
        _ => None,
    };
    let mut arguments = vec!["axles", "--plan", "-"];
    arguments.extend(share.iter().flat_map(|share| ["--restoration", share.as_str()]));
    driver.json(&arguments, &text(&request.plan.unwrap_or_default()))
}
