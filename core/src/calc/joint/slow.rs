//! Slow models for the tests: the same loads by another route.

/// Solves `a x = b` by elimination with the largest pivot.
pub fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|&i, &j| a[i][column].abs().total_cmp(&a[j][column].abs())).unwrap();
        a.swap(column, pivot);
        b.swap(column, pivot);
        for row in column + 1..n {
            let factor = a[row][column] / a[column][column];
            let above = a[column].clone();
            for (cell, above) in a[row].iter_mut().zip(above) {
                *cell -= factor * above;
            }
            b[row] -= factor * b[column];
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|k| a[row][k] * b[k]).sum();
        b[row] = (b[row] - known) / a[row][row];
    }
    b
}

/// Returns the forces on springs of these stiffnesses that balance a load with the least strain energy: the springs'
/// forces and the six multipliers of equilibrium as one linear system.
pub fn least_energy(spots: &[([f64; 3], f64)], force: [f64; 3], at: [f64; 3]) -> Vec<[f64; 3]> {
    let n = spots.len() * 3;
    let flat = spots.iter().all(|(spot, _)| spot[2] == 0.0) && at[2] == 0.0 && force[2] == 0.0;
    // In the plane two forces and one moment are left; the rest would be empty rows.
    let kept: Vec<usize> = if flat { vec![0, 1, 5] } else { (0..6).collect() };
    let rows = |spot: &[f64; 3]| {
        let [x, y, z] = *spot;
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]]
    };
    let size = n + kept.len();
    let mut a = vec![vec![0.0; size]; size];
    let mut b = vec![0.0; size];
    for (bolt, (spot, stiffness)) in spots.iter().enumerate() {
        let balance = rows(spot);
        for at in bolt * 3..bolt * 3 + 3 {
            a[at][at] = 1.0 / stiffness;
            for (row, &which) in kept.iter().enumerate() {
                let arm = balance[which][at % 3];
                a[at][n + row] = arm;
                a[n + row][at] = arm;
            }
        }
    }
    let load = rows(&at);
    for (row, &which) in kept.iter().enumerate() {
        b[n + row] = (0..3).map(|axis| load[which][axis] * force[axis]).sum();
    }
    let solved = solve(a, b);
    solved[..n].chunks(3).map(|force| [force[0], force[1], force[2]]).collect()
}

#[test]
fn a_known_system_is_solved() {
    let solved = solve(vec![vec![0.0, 2.0], vec![4.0, 1.0]], vec![6.0, 11.0]);
    assert!((solved[0] - 2.0).abs() < 1e-12 && (solved[1] - 3.0).abs() < 1e-12);
}
