//! The working point of a feed: Newton's method from above.
//!
//! Unknowns are the volts V of the nodes and, behind a battery with inner resistance, of its
//! terminals. Kirchhoff's current law reads F(V) = A V - b + I(V) = 0, with A the conductance matrix
//! (symmetric, off-diagonals <= 0, an M-matrix because every node has a path to the battery), b the
//! battery's feed-in and I the draws: P/V falls and is convex for V > 0, a constant current is
//! constant. There may be two solutions (or more): the working point, high volts and small currents,
//! and an unstable one below. Newton's method from V0 = EMF everywhere finds the working point or
//! proves that there is none:
//!
//! 1. F(V0) = I(V0) >= 0, and any solution V* lies below V0, since V* = EMF - Z I with Z = A^-1 >= 0.
//! 2. Suppose V_k >= V* > 0 and F(V_k) >= 0. The Jacobian A + I'(V_k) has the diagonal of the one at
//!    V* or a larger one. At the highest solution that one is an M-matrix (singular only at the very
//!    nose of the curve), so here it is one, its inverse is >= 0, and the step goes down:
//!    V_k+1 <= V_k. Convexity gives F(V*) >= F(V_k) + F'(V_k)(V* - V_k), hence V_k+1 >= V*; and again
//!    F(V_k+1) >= F(V_k) + F'(V_k)(V_k+1 - V_k) = 0. So the sequence falls and stays above the
//!    highest solution: it converges to it, quadratically, or halving the error at the nose
//!    (Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations, 13.3, monotone Newton).
//! 3. A symmetric matrix of this sign pattern is an M-matrix exactly when all its elimination pivots
//!    are positive. So a pivot <= 0, or a node at or below 0 V, proves that there is no solution; and
//!    without a solution one of them must come, as otherwise the falling sequence would have a
//!    positive limit (a positive pivot keeps V^2 > P/A_kk), and the limit would be a solution.
//!
//! One step costs O(n): the matrix is tridiagonal along the cable; the terminals, which touch both
//! ends of a ring, are one bordering unknown, eliminated last.

use super::network::Network;

/// Steps after which the error at the nose, halved each time, is below rounding.
const STEPS: usize = 100;
/// A step of this share of the EMF ends the iteration; the next error is its square.
const SETTLED: f64 = 1e-12;
/// Below this share of the EMF, a step that is no smaller than the last is rounding.
const ROUNDING: f64 = 1e-8;

/// Volts at the nodes of the working point, or `None` when there is none.
pub(super) fn working_point(network: &Network) -> Option<Vec<f64>> {
    let n = network.loads.len();
    let emf = network.source.emf.get();
    // Conductance of segment k; the missing one has none, nor has a chain's return.
    let mut g: Vec<f64> = network.segments.iter().map(|r| 1.0 / r.get()).collect();
    g.resize(n + 1, 0.0);
    if let Some(missing) = g.get_mut(network.open()) {
        *missing = 0.0;
    }
    let inner = network.source.resistance.get();
    let inner = (inner > 0.0).then_some(1.0 / inner);

    let mut volts = vec![emf; n];
    let mut terminal = emf;
    let mut system = System::new(n);
    let mut last = f64::INFINITY;
    for _ in 0..STEPS {
        for k in 0..n {
            let before = if k == 0 { terminal } else { volts[k - 1] };
            let after = if k + 1 == n { terminal } else { volts[k + 1] };
            let (v, load) = (volts[k], network.loads[k]);
            system.diagonal[k] = g[k] + g[k + 1] - load.slope(v);
            system.residual[k] = g[k] * (v - before) + g[k + 1] * (v - after) + load.amps(v);
        }
        let border = inner.map(|inner| Border {
            pivot: inner + g[0] + g[n],
            residual: inner * (terminal - emf)
                + g[0] * (terminal - volts[0])
                + g[n] * (terminal - volts[n - 1]),
        });
        let terminal_step = system.step(&g, border)?;
        terminal -= terminal_step;
        let mut largest = terminal_step.abs();
        for (v, step) in volts.iter_mut().zip(&system.residual) {
            *v -= step;
            positive(*v)?;
            largest = largest.max(step.abs());
        }
        if largest <= SETTLED * emf || (largest <= ROUNDING * emf && largest >= last) {
            return Some(volts);
        }
        last = largest;
    }
    // Still halving after so many steps: at the nose to within rounding.
    None
}

/// The tridiagonal system of one step, its vectors kept from step to step.
struct System {
    /// Diagonal of the matrix; during a step the inverses of its pivots.
    diagonal: Vec<f64>,
    /// Current that misses at each node; after [`System::step`] the change of its volts.
    residual: Vec<f64>,
    /// Response of the nodes to the terminals.
    response: Vec<f64>,
}

/// Row of the terminals.
struct Border {
    pivot: f64,
    residual: f64,
}

impl System {
    fn new(n: usize) -> Self {
        Self { diagonal: vec![0.0; n], residual: vec![0.0; n], response: vec![0.0; n] }
    }

    /// Solves for the change of the volts (left in `residual`) and returns that of the terminals.
    /// `None` when a pivot is not positive: the matrix is no M-matrix.
    fn step(&mut self, g: &[f64], border: Option<Border>) -> Option<f64> {
        let n = self.diagonal.len();
        self.response.fill(0.0);
        self.response[0] += g[0];
        self.response[n - 1] += g[n];
        for (k, edge) in g[..n].iter().enumerate() {
            if k > 0 {
                let share = edge * self.diagonal[k - 1];
                self.diagonal[k] -= edge * share;
                self.residual[k] += share * self.residual[k - 1];
                self.response[k] += share * self.response[k - 1];
            }
            // From here on the pivot's inverse: one division a node.
            self.diagonal[k] = 1.0 / positive(self.diagonal[k])?;
        }
        for k in (0..n).rev() {
            if k + 1 < n {
                self.residual[k] += g[k + 1] * self.residual[k + 1];
                self.response[k] += g[k + 1] * self.response[k + 1];
            }
            self.residual[k] *= self.diagonal[k];
            self.response[k] *= self.diagonal[k];
        }
        let Some(border) = border else { return Some(0.0) };
        let through = |x: &[f64]| g[0] * x[0] + g[n] * x[n - 1];
        let pivot = positive(border.pivot - through(&self.response))?;
        let terminal = (border.residual + through(&self.residual)) / pivot;
        for (x, y) in self.residual.iter_mut().zip(&self.response) {
            *x += y * terminal;
        }
        Some(terminal)
    }
}

/// The value when above zero; `None` for zero, less, or no number.
fn positive(x: f64) -> Option<f64> {
    (x > 0.0).then_some(x)
}
