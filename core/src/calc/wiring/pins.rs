//! What connects to what: a vehicle's socket and a trailer's plug.

use crate::{
    basis::{Basis, Seen, Source},
    model::wiring::Socket,
    tables::connectors::{Function, pins},
};

const SOURCE: Source = Source::new("connector pin tables, compared pin by pin", "", Seen::Derived);

/// What has to go between socket and plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Between {
    /// Nothing: they are the same.
    Nothing,
    /// An adapter that joins pin to pin.
    Adapter,
    /// A converter, since one side has stop and turn in one lamp and the other has them apart. Wires are never joined
    /// for that.
    Converter,
}

/// How a trailer's plug goes with a vehicle's socket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Connection {
    /// What has to go between.
    pub between: Between,
    /// What the trailer's plug has and the vehicle's socket does not give.
    pub lost: Vec<Function>,
}

impl Connection {
    /// Returns whether electric trailer brakes stay without a circuit.
    #[must_use]
    pub fn loses_brakes(&self) -> bool {
        self.lost.contains(&Function::ElectricBrake)
    }
}

/// Returns which of a socket's circuits carry a function, as broadly as an adapter or a converter can make of it.
fn gives(socket: Socket, wanted: Function) -> bool {
    use Function::{
        Earth, EarthOfPermanent, EarthOfSwitched, LeftStopTurn, LeftTail, LeftTurn, Marker, Presence, RightStopTurn,
        RightTail, RightTurn, Stop, Tail,
    };
    let has = |function: Function| pins(socket).iter().any(|pin| pin.function == function);
    match wanted {
        LeftTurn | LeftStopTurn => has(LeftTurn) || has(LeftStopTurn),
        RightTurn | RightStopTurn => has(RightTurn) || has(RightStopTurn),
        Stop => has(Stop) || has(LeftStopTurn),
        Tail | LeftTail | RightTail | Marker => has(Tail) || has(LeftTail) || has(Marker),
        Earth | EarthOfPermanent | EarthOfSwitched => has(Earth),
        // A free pin is missed by nobody.
        Presence => true,
        other => has(other),
    }
}

/// Returns how a trailer's plug goes with a vehicle's socket.
#[must_use]
pub fn connect(socket: Socket, plug: Socket) -> Connection {
    let between = if socket == plug {
        Between::Nothing
    } else if socket.combined_stop_and_turn() == plug.combined_stop_and_turn() {
        Between::Adapter
    } else {
        Between::Converter
    };
    let lost = pins(plug).iter().map(|pin| pin.function).filter(|&function| !gives(socket, function)).collect();
    Connection { between, lost }
}

/// Returns whether a converter is needed between the vehicle's own lamp wiring and a trailer's plug.
///
/// The vehicle's wiring, not its socket, decides: a car with amber turn signals has stop and turn apart.
#[must_use]
pub const fn converter_needed(vehicle_combines_stop_and_turn: bool, plug: Socket) -> bool {
    vehicle_combines_stop_and_turn != plug.combined_stop_and_turn()
}

/// Returns the step behind [`connect`].
#[must_use]
pub fn basis() -> Vec<Basis> {
    vec![Basis::new("connection", "every function of the plug looked for in the socket", SOURCE, &[])]
}
