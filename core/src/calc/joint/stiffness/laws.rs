//! Laws of stiffness, and the same figures by numerical integration.

use proptest::prelude::*;

use super::*;

/// Returns `∫ dx / (E A(x))` by the midpoint rule over the layers, for a body that widens from both ends.
fn integrated(from: f64, flare: f64, hole: f64, layers: &[Layer]) -> f64 {
    const STEPS: usize = 4000;
    let grip: f64 = layers.iter().map(|layer| layer.thickness.mm()).sum();
    let mut total = 0.0;
    let mut start = 0.0;
    for layer in layers {
        let thickness = layer.thickness.mm();
        let step = thickness / STEPS as f64;
        for at in 0..STEPS {
            let x = start + (at as f64 + 0.5) * step;
            let wide = from + flare * x.min(grip - x);
            total += step / (layer.modulus.mpa() * PI / 4.0 * (wide * wide - hole * hole));
        }
        start += thickness;
    }
    total
}

fn layers() -> impl Strategy<Value = Vec<Layer>> {
    let layer = (1.0..30.0_f64, 60_000.0..210_000.0_f64)
        .prop_map(|(mm, mpa)| Layer { thickness: Length::from_mm(mm), modulus: Stress::from_mpa(mpa) });
    prop::collection::vec(layer, 1..5)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn frusta_agree_with_integration(d in 6.0..24.0_f64, layers in layers()) {
        let closed = frustum(Length::from_mm(d), &layers).unwrap().n_per_mm();
        let slow = 1.0 / integrated(1.5 * d, FLARE_OF_30_DEG, d, &layers);
        prop_assert!((closed / slow - 1.0).abs() < 1e-4, "closed {closed}, integrated {slow}");
        let turned: Vec<_> = layers.iter().rev().copied().collect();
        let back = frustum(Length::from_mm(d), &turned).unwrap().n_per_mm();
        prop_assert!((closed / back - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_cone_agrees_with_integration(d in 6.0..24.0_f64, grip in 5.0..60.0_f64, more in 0.1..3.0_f64) {
        let (dw, dh) = (1.5 * d, 1.1 * d);
        let outer = dw + grip * (1.0 + more);
        let e = 205_000.0;
        let input = Cone {
            bearing: Length::from_mm(dw),
            hole: Length::from_mm(dh),
            grip: Length::from_mm(grip),
            outer: Length::from_mm(outer),
            modulus: Stress::from_mpa(e),
            tapped: false,
        };
        let layer = Layer { thickness: Length::from_mm(grip), modulus: Stress::from_mpa(e) };
        let slow = integrated(dw, 2.0 * plates::tan_phi(dw, grip, outer), dh, &[layer]);
        if let Ok(closed) = cone(&input) {
            prop_assert!((closed / slow - 1.0).abs() < 1e-3, "closed {closed}, integrated {slow}");
        }
    }

    #[test]
    fn a_longer_grip_is_softer_and_a_thicker_bolt_stiffer(
        d in 6.0..30.0_f64, grip in 10.0..100.0_f64, share in 0.0..1.0_f64, more in 1.01..2.0_f64,
    ) {
        let shank = |d: f64, grip: f64| Shank {
            thread: Thread::metric(d, d / 7.0).unwrap(),
            grip: Length::from_mm(grip),
            threaded: Length::from_mm(grip * share),
            modulus: Stress::from_mpa(205_000.0),
        };
        let rate = |shank: &Shank| bolt(shank).unwrap();
        let soft = |shank: &Shank| resilience(shank, HeadKind::Hex, Seat::Nut).unwrap();
        let base = shank(d, grip);
        prop_assert!(rate(&shank(d, grip * more)) < rate(&base));
        prop_assert!(rate(&base) < rate(&shank(d * more, grip)));
        prop_assert!(soft(&base).total() < soft(&shank(d, grip * more)).total());
        // Head, nut and engaged thread give as well, and the minor area is less than the stress area.
        prop_assert!(soft(&base).rate() < rate(&base));
        let tapped = resilience(&base, HeadKind::Hex, Seat::Tapped).unwrap();
        prop_assert!(tapped.total() < soft(&base).total());
    }

    #[test]
    fn frustum_and_fit_agree_for_usual_grips(d in 6.0..24.0_f64, ratio in 0.2..0.8_f64) {
        // Both from memory of Shigley. The frustum is the softer for long grips: by an eighth at a fifth of a diameter a
        // millimetre, by our own reckoning; no publication bounds it.
        let (d, grip) = (Length::from_mm(d), Length::from_mm(d / ratio));
        let e = Stress::from_mpa(207_000.0);
        let exact = frustum(d, &[Layer { thickness: grip, modulus: e }]).unwrap();
        let fit = wileman(d, grip, e, WilemanMaterial::Steel).unwrap();
        prop_assert!((exact / fit - 1.0).abs() < 0.13, "{}", exact / fit);
    }
}

const FLARE_OF_30_DEG: f64 = 1.154_700_538_379_251_5;

#[test]
fn what_lies_outside_is_refused() {
    let shank = Shank {
        thread: Thread::metric(12.0, 1.75).unwrap(),
        grip: Length::from_mm(30.0),
        threaded: Length::from_mm(31.0),
        modulus: Stress::from_mpa(205_000.0),
    };
    assert_eq!(bolt(&shank).unwrap_err().field(), "threaded_mm");
    let nan = Shank { threaded: Length::from_mm(f64::NAN), ..shank };
    assert_eq!(bolt(&nan).unwrap_err().field(), "threaded_mm");
    let stud = Shank { threaded: Length::ZERO, ..shank };
    assert_eq!(resilience(&stud, HeadKind::Stud, Seat::Nut).unwrap_err().field(), "head");
    assert_eq!(frustum(Length::from_mm(12.0), &[]).unwrap_err().field(), "layer_count");
    let steel = WilemanMaterial::Steel;
    let e = Stress::from_mpa(205_000.0);
    assert_eq!(
        wileman(Length::from_mm(12.0), Length::from_mm(200.0), e, steel).unwrap_err().field(),
        "diameter_over_grip"
    );
    assert_eq!(
        sleeve(Length::from_mm(10.0), Length::from_mm(12.0), Length::from_mm(50.0), e).unwrap_err().field(),
        "bearing_diameter_mm"
    );
}
