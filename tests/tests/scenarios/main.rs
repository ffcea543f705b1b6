//! What people do with the book, told once and done twice: by a gRPC caller and by the command line.
//!
//! A scenario speaks to a [`driver::Driver`]. Both drivers call a service of their own, on a free port of this machine;
//! the command line is the built program, and what it prints is read back as the messages of the contract.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on has failed")]

mod agreement;
mod bay;
mod bed;
mod bench;
mod dispatch;
mod driver;
mod electrician;
mod foreman;
mod ground;
mod house;
mod over_cli;
mod over_grpc;
mod program;
mod tower;

/// Runs each scenario through both drivers, on the book that it starts from.
macro_rules! through_both {
    ($($scenario:path as $name:ident on $book:ident;)*) => {
        mod by_grpc {
            $(#[test] fn $name() {
                let house = crate::house::House::$book();
                $scenario(&mut crate::over_grpc::OverGrpc::new(&house));
            })*
        }
        mod by_command_line {
            $(#[test] fn $name() {
                let house = crate::house::House::$book();
                $scenario(&mut crate::over_cli::OverCli::new(&house));
            })*
        }
    };
}

through_both! {
    crate::bay::a_bay_looks_up as a_bay_looks_up on demo;
    crate::bay::a_bay_asks_whether_a_joint_holds as a_bay_asks_whether_a_joint_holds on demo;
    crate::bay::a_bay_asks_what_to_set_the_wrench_to as a_bay_asks_what_to_set_the_wrench_to on demo;
    crate::ground::a_driver_asks_whether_it_drags_on_the_depot_ramp as a_driver_asks_whether_it_drags on demo;
    crate::bay::an_unknown_name_offers_the_nearest as an_unknown_name_offers_the_nearest on demo;
    crate::bay::every_violation_is_told_at_once as every_violation_is_told_at_once on demo;
    crate::bay::a_bay_asks_which_receivers_suit as a_bay_asks_which_receivers_suit on demo;
    crate::bench::a_bench_takes_a_wrench as a_bench_takes_a_wrench on demo;
    crate::bench::a_bench_turns_by_angle as a_bench_turns_by_angle on demo;
    crate::bench::a_bench_plans_the_tightening as a_bench_plans_the_tightening on demo;
    crate::bench::a_bench_looks_at_what_is_at_hand as a_bench_looks_at_what_is_at_hand on demo;
    crate::electrician::an_electrician_sizes_a_circuit as an_electrician_sizes_a_circuit on demo;
    crate::electrician::a_circuit_that_cannot_be_sized_says_all_it_lacks
        as a_circuit_that_cannot_be_sized_says_all_it_lacks on demo;
    crate::tower::a_number_is_read_and_never_rewritten as a_number_is_read_and_never_rewritten on demo;
    crate::tower::a_tongue_load_is_weighed_and_moved as a_tongue_load_is_weighed_and_moved on demo;
    crate::tower::a_coupling_is_held_against_its_plates as a_coupling_is_held_against_its_plates on demo;
    crate::tower::a_label_sums_what_every_shop_added as a_label_sums_what_every_shop_added on demo;
    crate::tower::a_tail_swings_and_a_trailer_touches as a_tail_swings_and_a_trailer_touches on demo;
    crate::tower::bars_are_set_and_the_rear_axle_is_told_without_them as bars_are_set on demo;
    crate::bed::a_fifth_wheel_stands_in_the_bed as a_fifth_wheel_stands_in_the_bed on disk;
    crate::bed::what_lacks_or_does_not_fit_in_the_bed_is_told as what_lacks_in_the_bed_is_told on disk;
    crate::tower::a_law_of_the_book_is_read_beside_the_table as a_law_of_the_book_is_read on disk;
    crate::foreman::a_foreman_changes_an_entry as a_foreman_changes_an_entry on disk;
    crate::foreman::a_stale_etag_is_told_what_changed as a_stale_etag_is_told_what_changed on disk;
    crate::foreman::a_retry_has_one_effect as a_retry_has_one_effect on disk;
    crate::foreman::a_batch_of_entries_is_all_or_none as a_batch_of_entries_is_all_or_none on disk;
    crate::foreman::an_entry_in_use_stays as an_entry_in_use_stays on disk;
    crate::foreman::what_is_exported_can_be_imported as what_is_exported_can_be_imported on disk;
    crate::dispatch::sixty_plans_are_checked as sixty_plans_are_checked on demo;
    crate::dispatch::an_unreadable_plan_is_its_own_error as an_unreadable_plan_is_its_own_error on demo;
}
