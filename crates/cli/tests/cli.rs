//! Every case below `tests/cli`: a command, its exit code and all it prints. `TRYCMD=overwrite` writes what is printed.

#[test]
fn cases() {
    trycmd::TestCases::new().case("../../tests/cli/*.toml").case("../../tests/cli/*.md");
}
