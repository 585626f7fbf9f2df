//! What is found out about a design: the sums of each subject and the rules that judge them.

pub mod calculations;
pub mod checks;
