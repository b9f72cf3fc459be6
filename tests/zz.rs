#[test]
fn zz() {}
