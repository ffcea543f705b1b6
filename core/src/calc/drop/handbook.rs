//! Worked example and laws.

use proptest::prelude::*;

use super::*;
use crate::calc::{example_van::SOURCE, printed::prints};

const fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn van() -> DropInput {
    DropInput { tube_top: mm(560.0), sag: mm(131.026), coupler_level: mm(470.0), ball_height: mm(62.0) }
}

#[test]
fn the_van_needs_the_printed_drop() {
    let level = level_drop(&van()).unwrap();
    prints(SOURCE, "408", level.platform.mm());
    prints(SOURCE, "20.974", level.drop.mm());
    prints(SOURCE, "152", level.drop_without_sag.mm());
}

#[test]
fn who_ignores_the_sag_tows_nose_down() {
    let DropInput { tube_top, sag, ball_height, coupler_level } = van();
    let drop = level_drop(&van()).unwrap().drop_without_sag;
    let heights = mount_heights(&MountInput { tube_top, sag, drop, ball_height }).unwrap();
    let off = heights.off_level(coupler_level);
    prints(SOURCE, "-131", off.mm());
    prints(SOURCE, "-1.75", attitude(off, mm(4300.0)).unwrap().deg());
    prints(SOURCE, "0.3997", attitude(mm(30.0), mm(4300.0)).unwrap().deg());
}

#[test]
fn the_mount_hangs_below_its_platform() {
    let input = MountInput { tube_top: mm(560.0), sag: mm(100.0), drop: mm(50.0), ball_height: mm(62.0) };
    let heights = mount_heights(&input).unwrap();
    assert_eq!(heights.lowest(mm(30.0)), mm(380.0));
    assert_eq!(heights.ball_centre(mm(50.0)), mm(447.0));
}

proptest! {
    #[test]
    fn the_level_drop_puts_the_ball_at_the_coupler(
        tube in 250.0..900.0, sag in -100.0..250.0, coupler in 250.0..700.0, ball in 30.0..120.0,
    ) {
        let input = DropInput { tube_top: mm(tube), sag: mm(sag), coupler_level: mm(coupler), ball_height: mm(ball) };
        let drop = level_drop(&input).unwrap().drop;
        prop_assume!(DROP.holds(drop.mm()));
        let mount = MountInput { tube_top: input.tube_top, sag: input.sag, drop, ball_height: input.ball_height };
        let off = mount_heights(&mount).unwrap().off_level(input.coupler_level);
        prop_assert!(off.mm().abs() < 1e-9);
        prop_assert!(attitude(off, mm(4000.0)).unwrap().deg().abs() < 1e-9);
    }

    #[test]
    fn more_sag_never_asks_for_more_drop(sag in -100.0..200.0, more in 0.0..200.0) {
        let drop = |sag: f64| level_drop(&DropInput { sag: mm(sag), ..van() }).unwrap().drop;
        prop_assert!(drop(sag + more) <= drop(sag));
    }
}
