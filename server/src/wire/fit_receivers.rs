//! Which receivers suit: the question from the wire, the answer to it.

use std::sync::Arc;

use baybook_core::{
    calc::{
        axles::Station,
        fit_receivers::{self, Candidate, FitInput, Reason, Suits, Wish, fit_receivers},
        ratings::Link,
    },
    error::CalcError,
    model::{receiver::Receiver, upfit::Upfit},
    rules::run::region::Region,
    units::{Angle, Length, Mass},
};
use baybook_proto::v1 as pb;

use super::{
    Fields, Lookup, WireError,
    basis::{basis_to_wire, caution},
    load::{Lack, tongue_load},
    plan::required_plan,
};

/// A question which receivers suit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitReceivers {
    plan: Upfit,
    items: Vec<Station>,
    trailer_mass: Mass,
    tongue: Mass,
    at_ball: Mass,
    /// Whether those that do not suit are listed too.
    pub with_misfits: bool,
}

/// A part of a ranking that fits into one answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// How many of the list were answered before.
    pub from: usize,
    /// How many to answer.
    pub size: usize,
}

impl FitReceivers {
    /// Reads the question: everything but the receiver has to be there.
    ///
    /// # Errors
    ///
    /// [`WireError`] with every violation.
    pub fn read(wire: &pb::FitReceiversRequest, lookup: &impl Lookup) -> Result<Self, WireError> {
        let mut fields = Fields::default();
        let plan = required_plan(wire.plan.as_ref(), lookup, &mut fields);
        let plan = fields.finish(plan)?;
        let mut lacks = Vec::new();
        let mut need = |field: String, value: Option<Mass>| {
            if value.is_none() {
                lacks.push(Lack { field, why: "is not known".to_owned() });
            }
            value.unwrap_or(Mass::ZERO)
        };
        let trailer_mass = need("trailer_mass".to_owned(), plan.trailer_mass);
        let tongue = match tongue_load(&plan) {
            Ok(Some(load)) => load,
            // A share of a mass that is missing: the mass is told already.
            Err(_) => Mass::ZERO,
            Ok(None) => need("tongue".to_owned(), None),
        };
        let mut at_ball = Mass::ZERO;
        if let Some(mount) = plan.ball_mount.as_deref() {
            at_ball += need("ball_mount.mass_kg".to_owned(), mount.mass);
        }
        if let Some(ball) = plan.ball.as_deref() {
            at_ball += need("ball.mass_kg".to_owned(), ball.mass);
        }
        let mut items = Vec::with_capacity(plan.items.len());
        for (index, item) in plan.items.iter().enumerate() {
            let mass = need(format!("items[{index}].mass"), item.mass);
            match item.station {
                Some(station) => items.push(Station { mass, station }),
                None => drop(need(format!("items[{index}].station_mm"), None)),
            }
        }
        fields.lacking("plan", &lacks);
        fields.under("plan", |fields| {
            if plan.receiver.is_some() {
                fields.reject("receiver", "is what the answer ranks: leave it out");
            }
            if plan.vehicle.name.is_empty() {
                let why = "is given here, but receivers name the entries they fit: name an entry";
                fields.reject("vehicle", why);
            }
        });
        let asked = Self { plan, items, trailer_mass, tongue, at_ball, with_misfits: wire.with_misfits };
        // Ranking nothing asks for every range; what is out of it is told before any receiver is read.
        if fields.is_clean()
            && let Err(error) = fit_receivers::<Receiver>(&asked.input(), &[])
        {
            fields.under("plan", |fields| fields.reject_calc(blamed(&error), &error));
        }
        let asked = fields.is_clean().then_some(asked);
        fields.finish(asked)
    }

    fn input(&self) -> FitInput<'_> {
        let plan = &self.plan;
        FitInput {
            vehicle: &plan.vehicle,
            items: &self.items,
            ball_mount: plan.ball_mount.as_deref(),
            ball: plan.ball.as_deref(),
            coupler: plan.coupler.as_deref(),
            trailer: plan.trailer.as_deref(),
            extension: plan.extension.as_ref(),
            pin: plan.pin,
            european: Region::of(plan) == Region::Europe,
            brakes: plan.trailer.as_deref().and_then(|trailer| trailer.brakes),
            spring_bars: plan.spring_bars == Some(true),
            trailer_mass: self.trailer_mass,
            tongue: self.tongue,
            at_ball: self.at_ball,
            wish: Wish {
                departure_min: plan.limits.departure_min,
                departure_laden_min: plan.limits.departure_laden_min,
                hitch_height_min: plan.limits.hitch_height_min,
            },
        }
    }

    /// Ranks receivers and writes a stretch of the ranking; also returns how long the whole list is.
    ///
    /// # Errors
    ///
    /// [`CalcError`] for more receivers than a ranking takes.
    pub fn answer(
        &self,
        receivers: &[Arc<Receiver>],
        stretch: Stretch,
        revision: i64,
    ) -> Result<(pb::FitReceiversResponse, usize), CalcError> {
        let input = self.input();
        let ranked = fit_receivers(&input, receivers)?;
        let count = |suits: Suits| whole(ranked.iter().filter(|one| one.suits == suits).count());
        let (suits_count, unknown_count, misfit_count) = (count(Suits::Yes), count(Suits::Unknown), count(Suits::No));
        let listed = ranked.iter().filter(|one| self.with_misfits || one.suits != Suits::No);
        let long = listed.clone().count();
        let fits = listed
            .enumerate()
            .skip(stretch.from)
            .take(stretch.size)
            .filter_map(|(place, one)| Some(fit(one, receivers.get(one.index)?, place)));
        let reply = pb::FitReceiversResponse {
            fits: fits.collect(),
            next_page_token: String::new(),
            candidate_count: whole(receivers.len()),
            suits_count,
            unknown_count,
            misfit_count,
            basis: basis_to_wire(&fit_receivers::basis(&input)),
            cautions: self.cautions(),
            revision,
        };
        Ok((reply, long))
    }

    fn cautions(&self) -> Vec<pb::Caution> {
        let mut all = vec![
            caution(
                "check-the-plan",
                "this ranks receivers and clears none: check the whole plan with the one you choose",
            ),
            caution(
                "labels-override",
                "the ratings on this unit's labels override those of the entry: read them on the vehicle",
            ),
            caution("measure-on-site", "heights differ between units, loads and tyres: measure on this unit, laden"),
        ];
        if self.plan.ball_mount.is_none() {
            let text = "no ball mount is named, so nobody knows where the ball sits: no receiver is known to suit";
            all.push(caution("ball-mount-missing", text));
        }
        let limits = &self.plan.limits;
        let wished = [limits.departure_min, limits.departure_laden_min].iter().any(Option::is_some);
        if !wished && limits.hitch_height_min.is_none() {
            all.push(caution(
                "no-wish",
                "no clearance is wished for: angles and heights are shown and hold nobody back",
            ));
        }
        all
    }
}

/// Returns the field of the plan that the calculator's own name stands for.
fn blamed(error: &CalcError) -> &'static str {
    match error.field() {
        "trailer_mass_kg" => "trailer_mass",
        "tongue_kg" => "tongue_load",
        "departure_min_deg" => "limits.departure_min_deg",
        "hitch_height_min_mm" => "limits.hitch_height_min_mm",
        "wheelbase_mm" => "vehicle.wheelbase_mm",
        "kerb_front_kg" => "vehicle.front.kerb_kg",
        "kerb_rear_kg" => "vehicle.rear.kerb_kg",
        _ => "items",
    }
}

fn whole(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}

fn fit(one: &Candidate, receiver: &Receiver, place: usize) -> pb::RankedReceiver {
    let link = |link: &Option<Link>| link.map(|link| (link.label.to_owned(), link.path.to_owned())).unwrap_or_default();
    let (governing, governing_field) = link(&one.governing);
    pb::RankedReceiver {
        name: receiver.name.clone(),
        label: receiver.label.clone(),
        suits: match one.suits {
            Suits::Yes => pb::Suits::Yes,
            Suits::Unknown => pb::Suits::Unknown,
            Suits::No => pb::Suits::No,
        }
        .into(),
        rank_position: whole(place + 1),
        reasons: one.reasons.iter().map(reason).collect(),
        governing,
        governing_field,
        // A limit of nothing is used without bounds, which no number on the wire says.
        used_share: one.used.filter(|used| used.is_finite()),
        trailer_limit_kg: one.trailer.limit.map(Mass::kg),
        tongue_limit_kg: one.tongue.limit.map(Mass::kg),
        departure_deg: one.departure.map(Angle::deg),
        departure_laden_deg: one.departure_laden.map(Angle::deg),
        hitch_height_laden_mm: one.hitch_height_laden.map(Length::mm),
        departure_lost_deg: one.loses.departure.map(Angle::deg),
        height_lost_mm: one.loses.height.map(Length::mm),
        trailer_lost_kg: one.loses.trailer.map(Mass::kg),
        payload_lost_kg: one.loses.payload.map(Mass::kg),
    }
}

/// Says why in a sentence; loads are shown rounded up, ratings down.
fn reason(reason: &Reason) -> pb::FitReason {
    let down = |mass: &Mass| format!("{:.0} kg", (mass.kg() + 1e-6).floor());
    let up = |mass: &Mass| format!("{:.0} kg", (mass.kg() - 1e-6).ceil());
    let (field, text) = match reason {
        Reason::NotForVehicle => ("receiver.fits", "its fit list does not name this vehicle".to_owned()),
        Reason::ShankSize { opening, shank } => (
            "receiver.opening",
            format!("its opening is {} mm, the ball mount's shank {} mm", opening.mm(), shank.mm()),
        ),
        Reason::TrailerOver { link, limit } => {
            (link.path, format!("the trailer is heavier than {} allows: {}", link.label, down(limit)))
        }
        Reason::TongueOver { link, limit } => {
            (link.path, format!("the tongue load is heavier than {} allows: {}", link.label, down(limit)))
        }
        Reason::AxleOver { path, load, limit } => {
            (*path, format!("the load with it is {}, the rating {}", up(load), down(limit)))
        }
        Reason::CouplingShort { path, value, needed, certified } => {
            let text = format!(
                "the train needs a {value}-value of {:.2} kN, its plate shows {:.2} kN",
                (needed.kn() * 100.0).ceil() / 100.0,
                (certified.kn() * 100.0).floor() / 100.0
            );
            (*path, text)
        }
        Reason::DepartureShort { laden, angle, wished } => {
            let (field, state) = match laden {
                true => ("limits.departure_laden_min_deg", "laden"),
                false => ("limits.departure_min_deg", "unladen"),
            };
            let text =
                format!("its departure angle, {state}, is {:.1} °, wished for are {} °", angle.deg(), wished.deg());
            (field, text)
        }
        Reason::TooLow { height, wished } => (
            "limits.hitch_height_min_mm",
            format!("it hangs {:.0} mm above ground, laden; wished for are {} mm", height.mm().floor(), wished.mm()),
        ),
        Reason::UnknownLink { link } => (link.path, format!("what {} allows is not known", link.label)),
        Reason::UnknownFigure { path } => (*path, "is not known".to_owned()),
    };
    pb::FitReason { text, field: field.to_owned(), unknown: reason.is_unknown() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{
        Spec,
        fixture::{self, Book, paths},
    };

    fn asked(change: impl FnOnce(&mut pb::FitReceiversRequest)) -> Result<FitReceivers, WireError> {
        let plan = pb::UpfitPlan { receiver: None, replaced_receiver: None, joints: Vec::new(), ..fixture::plan() };
        let mut wire = pb::FitReceiversRequest { plan: Some(plan), ..pb::FitReceiversRequest::default() };
        change(&mut wire);
        FitReceivers::read(&wire, Book::demo())
    }

    fn plan(wire: &mut pb::FitReceiversRequest) -> &mut pb::UpfitPlan {
        wire.plan.as_mut().unwrap()
    }

    fn receivers() -> Vec<Arc<Receiver>> {
        let all = fixture::entries().iter().filter_map(|entry| match Book::demo().find(&entry.name)? {
            Spec::Receiver(receiver) => Some(receiver),
            _ => None,
        });
        all.collect()
    }

    #[test]
    fn everything_but_the_receiver_has_to_be_there() {
        let error = asked(|wire| {
            plan(wire).trailer_mass = None;
            plan(wire).tongue = None;
            plan(wire).items = vec![pb::LoadItem { label: "crew".to_owned(), ..pb::LoadItem::default() }];
            plan(wire).receiver = fixture::plan().receiver;
        });
        let lacking =
            ["plan.trailer_mass", "plan.tongue", "plan.items[0].mass", "plan.items[0].station_mm", "plan.receiver"];
        assert_eq!(paths(&error.unwrap_err()), lacking);
        assert!(asked(|_| ()).is_ok());
    }

    #[test]
    fn pages_of_a_ranking_make_the_ranking() {
        let receivers = receivers();
        assert!(8 < receivers.len());
        let asked = asked(|wire| wire.with_misfits = true).unwrap();
        let all = Stretch { from: 0, size: 1000 };
        let (whole, long) = asked.answer(&receivers, all, 1).unwrap();
        assert_eq!((whole.fits.len(), long), (receivers.len(), receivers.len()));
        assert_eq!(whole.suits_count + whole.unknown_count + whole.misfit_count, whole.candidate_count);
        let mut joined = Vec::new();
        for from in (0..long).step_by(3) {
            joined.extend(asked.answer(&receivers, Stretch { from, size: 3 }, 1).unwrap().0.fits);
        }
        assert_eq!(joined, whole.fits);
        for (place, one) in (1..).zip(&whole.fits) {
            assert_eq!(one.rank_position, place);
            assert_eq!(one.reasons.is_empty(), one.suits() == pb::Suits::Yes, "{one:?}");
        }
    }

    #[test]
    fn a_wish_beyond_sense_is_told_by_its_path() {
        let error = asked(|wire| {
            plan(wire).limits = Some(pb::Limits { departure_min_deg: Some(80.0), ..pb::Limits::default() });
        });
        assert_eq!(paths(&error.unwrap_err()), ["plan.limits.departure_min_deg"]);
    }
}
