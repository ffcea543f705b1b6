//! Heights of the ball, and how the trailer stands.

use baybook_core::{
    basis::Basis,
    calc::{
        drop::{self, DropInput, MountInput, attitude, level_drop, mount_heights},
        measurement::{of_attitude, of_drop},
        sag::Sag,
    },
    model::upfit::Upfit,
    units::{Angle, Length},
};

use super::load::{ball_station, fit_of};

/// The ball's heights, each as far as it is known.
#[derive(Debug, Default)]
pub(super) struct Heights {
    /// Ball top above ground, laden.
    pub(super) ball: Option<Length>,
    /// Ball top less the coupler's level height, laden.
    pub(super) off_level: Option<Length>,
    /// The drop that would level the trailer, laden.
    pub(super) drop: Option<Length>,
    /// The drop that a sum without sag would give.
    pub(super) drop_without_sag: Option<Length>,
    /// How the trailer stands, nose up.
    pub(super) attitude: Option<Angle>,
    /// How far the ball sinks.
    sag: Option<Length>,
    /// What they rest on.
    pub(super) basis: Vec<Basis>,
}

impl Heights {
    /// Works out what can be.
    pub(super) fn of(plan: &Upfit, sag: Option<&Sag>) -> Self {
        let mut heights = Self::default();
        let fit = plan.receiver.as_deref().and_then(|receiver| fit_of(plan, receiver, "receiver").ok());
        let tube_top = fit.and_then(|(fit, _)| fit.tube_top_height);
        let ball_height = plan.ball.as_deref().and_then(|ball| ball.height);
        let (Some(tube_top), Some(ball_height)) = (tube_top, ball_height) else { return heights };
        let sag = sag.zip(ball_station(plan).ok()).map(|(sag, ball)| sag.at(ball));
        let trailer = plan.trailer.as_deref();
        if let Some(coupler_level) = trailer.and_then(|trailer| trailer.coupler_height_level) {
            let still = DropInput { tube_top, sag: Length::ZERO, coupler_level, ball_height };
            heights.drop_without_sag = level_drop(&still).ok().map(|level| level.drop_without_sag);
            if let Some(sag) = sag {
                let input = DropInput { sag, ..still };
                heights.drop = level_drop(&input).ok().map(|level| level.drop);
                heights.basis = drop::basis(&input);
            }
        }
        let (Some(sag), Some(drop)) = (sag, plan.ball_mount.as_deref().and_then(|mount| mount.drop)) else {
            return heights;
        };
        let Ok(mount) = mount_heights(&MountInput { tube_top, sag, drop, ball_height }) else { return heights };
        heights.ball = Some(mount.ball_top);
        let level = trailer.and_then(|trailer| trailer.coupler_height_level);
        heights.off_level = level.map(|level| mount.off_level(level));
        let to_axle = trailer.and_then(|trailer| trailer.coupler_to_axle);
        heights.sag = Some(sag);
        heights.attitude = heights.off_level.zip(to_axle).and_then(|(off, to_axle)| attitude(off, to_axle).ok());
        heights
    }

    /// Returns how far off the trailer's attitude may be in degrees, and the drop in millimetres.
    pub(super) fn unsure(
        &self,
        plan: &Upfit,
        tape: Option<Length>,
        sag_off: Option<Length>,
    ) -> (Option<f64>, Option<f64>) {
        let trailer = plan.trailer.as_deref();
        let level = trailer.and_then(|trailer| trailer.coupler_height_level);
        let to_axle = trailer.and_then(|trailer| trailer.coupler_to_axle);
        let attitude = self.attitude.and(self.ball).zip(level).zip(to_axle).zip(tape);
        let attitude =
            attitude.and_then(|(((ball, level), to_axle), tape)| of_attitude(ball, level, to_axle, tape).ok());
        let drop = || {
            let receiver = plan.receiver.as_deref()?;
            let tube_top = fit_of(plan, receiver, "receiver").ok()?.0.tube_top_height?;
            let ball_height = plan.ball.as_deref()?.height?;
            let input = DropInput { tube_top, sag: self.sag?, coupler_level: level?, ball_height };
            of_drop(&input, tape?, sag_off?).ok()
        };
        (attitude.map(|off| off.worst), drop().map(|off| off.worst))
    }
}
