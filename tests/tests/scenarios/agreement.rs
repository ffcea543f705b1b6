//! What one way answers, the other answers too: to the last digit, on one service.

use crate::{
    bay::{applied_question, fit_question, joint_question, plan, torque_question},
    dispatch::sixty_plans,
    driver::Driver,
    electrician::circuit_question,
    house::House,
    over_cli::{OverCli, run},
    over_grpc::OverGrpc,
};

macro_rules! agree {
    ($grpc:ident, $cli:ident: $($call:ident($($argument:expr),*)),* $(,)?) => {
        $(assert_eq!(
            $grpc.$call($($argument),*).expect("a good question"),
            $cli.$call($($argument),*).expect("a good question"),
            stringify!($call)
        );)*
    };
}

#[test]
fn both_ways_give_the_same_answers() {
    let house = House::demo();
    let (mut grpc, mut cli) = (OverGrpc::new(&house), OverCli::new(&house));
    let thread =
        baybook_proto::v1::LookUpThreadRequest { thread: "7/16-14 UNC".to_owned(), property_class: "SAE 5".to_owned() };
    agree!(grpc, cli:
        get("receivers/van-tuck"),
        list(baybook_proto::v1::EntryKind::Finish),
        find("ball two"),
        history("trailers/flatbed-2t"),
        export(),
        look_up_thread(thread.clone()),
        adjust_torque(torque_question("finishes/oiled")),
        assess_torque(applied_question("79 N·m")),
        assess_joint(joint_question("4 kN")),
        rate(plan()),
        axles(plan()),
        clearances(plan()),
        roll_over(plan(), "terrains/kerb-150"),
        size_circuit(circuit_question("circuits/brake-12a")),
        fit(fit_question()),
        check(sixty_plans()),
        rules(),
    );
    // The clock of the service goes on between two questions.
    let [one, other] = [grpc.info(), cli.info()].map(|info| {
        let mut info = info.expect("a good question");
        assert!(info.now_time.take().is_some());
        info
    });
    assert_eq!(one, other);
}

#[test]
fn the_demo_sheet_is_judged_alike_over_the_wire_and_in_the_own_process() {
    let house = House::demo();
    let server = house.address().to_string();
    let check = ["check", "deploy/demo/fleet.csv", "--show", "all", "--format", "ndjson"];
    let over_the_wire = run(&[&check[..], &["--server", &server]].concat(), "");
    let in_process = run(&[&check[..], &["--book", "deploy/demo/book"]].concat(), "");
    for output in [&over_the_wire, &in_process] {
        assert_eq!(output.status.code(), Some(3), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let text = |output: &std::process::Output| String::from_utf8(output.stdout.clone()).expect("it prints UTF-8");
    assert_eq!(text(&over_the_wire), text(&in_process));
    assert!(60 < text(&in_process).lines().count(), "one line for each of sixty plans and one of totals");
}
