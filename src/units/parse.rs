//! Reading lengths and angles as people write them: `"44 1/2 in"`, `"1.13 m"`, `"35 deg"`.
