//! Whoever wires the socket: what a run drops, which wire and fuse it takes, what connects to what.

use baybook_proto::v1 as pb;

use crate::driver::Driver;

/// A question about a circuit of the book, with a socket and a plug.
pub fn circuit_question(name: &str) -> pb::SizeCircuitRequest {
    pb::SizeCircuitRequest {
        circuit: Some(pb::CircuitRef { circuit: Some(pb::circuit_ref::Circuit::Name(name.to_owned())) }),
        socket: pb::Socket::SevenWayLight.into(),
        plug: pb::Socket::Iso11446.into(),
        ..pb::SizeCircuitRequest::default()
    }
}

pub fn an_electrician_sizes_a_circuit(driver: &mut dyn Driver) {
    let cool = driver.size_circuit(circuit_question("circuits/brake-12a")).expect("the circuit is complete");
    let given = cool.given.as_ref().expect("a current is given");
    // Worked example on an invented circuit, derived: 12 A over 7.5 m of 10 AWG at 60 °C lose 0.6826 V, 5.06 % of 13.5 V.
    assert!((given.lost_v.expect("a drop") - 0.6826).abs() < 5e-5, "{given:?}");
    assert!((given.lost_share.expect("a share") - 0.0506).abs() < 5e-5, "{given:?}");
    assert_eq!(given.within, Some(false));
    // 8 AWG loses 0.4293 V, 3.18 %: one size up is not enough either.
    let up = cool.wire_up.as_ref().expect("there is a thicker wire");
    assert_eq!((up.label.as_str(), up.within), ("8 AWG", Some(false)));
    assert!((up.lost_v.expect("a drop") - 0.4293).abs() < 5e-5, "{up:?}");
    assert_eq!(cool.smallest.first().map(|wire| wire.label.as_str()), Some("6 AWG"));
    let fuse = cool.fuse.as_ref().expect("a fuse");
    assert_eq!((fuse.fuse_a, fuse.holds_load, fuse.protects_wire), (Some(20.0), Some(true), Some(true)));
    let connection = cool.connection.as_ref().expect("socket and plug are given");
    assert_eq!((connection.converter_needed, connection.brakes_lost), (Some(true), Some(false)));
    assert_eq!(cool.pins.len(), 7 + 13);
    assert!(!cool.basis.is_empty() && !cool.cautions.is_empty() && 0 < cool.revision);

    let warm = pb::SizeCircuitRequest { conductor_c: Some(85.0), ..circuit_question("circuits/brake-12a") };
    let warm = driver.size_circuit(warm).expect("the circuit is complete");
    assert!(given.lost_v < warm.given.expect("a current is given").lost_v, "a warm wire loses more");

    // Worked example, derived: four magnets of 3.2 Ω on 12 AWG draw 13.6649 A and get 10.9319 V of 12 V.
    let magnets = driver.size_circuit(circuit_question("circuits/magnets-12awg")).expect("the circuit is complete");
    let solved = magnets.solved.expect("a resistance is given");
    assert!((solved.current_a.expect("a current") - 13.6649).abs() < 5e-5, "{solved:?}");
    assert!((solved.at_load_v.expect("a voltage") - 10.9319).abs() < 5e-5, "{solved:?}");
}

pub fn a_circuit_that_cannot_be_sized_says_all_it_lacks(driver: &mut dyn Driver) {
    let spec = pb::Circuit { awg_code: Some(12), ..pb::Circuit::default() };
    let bare = pb::SizeCircuitRequest {
        circuit: Some(pb::CircuitRef { circuit: Some(pb::circuit_ref::Circuit::Spec(spec)) }),
        ..pb::SizeCircuitRequest::default()
    };
    let refused = driver.size_circuit(bare).expect_err("nobody knows its length");
    refused.expect(2, &["length_mm", "conductor_c", "supply_v", "return_path", "load_a"]);
    let unknown = driver.size_circuit(circuit_question("circuits/brake-12b")).expect_err("there is no such circuit");
    unknown.expect(4, &["circuits/brake-12b", "circuits/brake-12a"]);
}
