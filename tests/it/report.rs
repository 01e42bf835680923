//! The write-up.
use super::report_fixture as f;
use thereback::plotter::Chart;
fn placeholder(name: &str, title: &str, w: u32, h: u32) -> Chart {
    Chart{name:name.into(), title:title.into(), caption:"What to see here: the whole interval lies above zero, and the dots of the double runs stand close together.".into(), alt: format!("{title}, drawn"),
     svg: format!("<?xml version=\"1.0\"?>\n<svg width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" xmlns=\"http://www.w3.org/2000/svg\"><rect width=\"{w}\" height=\"{h}\" fill=\"#FFFFFF\"/><rect x=\"60\" y=\"20\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#333\"/><circle cx=\"300\" cy=\"150\" r=\"8\" fill=\"#0072B2\"/><text x=\"80\" y=\"60\" font-size=\"16\" font-family=\"sans-serif\">{title}</text></svg>", w-80,h-60)}
}
#[test]
fn look() {
    let charts=[placeholder("comparison","Change in speed by setting",900,360),placeholder("track","The track",900,620),placeholder("heading-a","Speed against heading, three blades",900,420),placeholder("heading-b","Speed against heading, four blades",900,420),placeholder("time","Speed over time",900,360)];
    for (name, a) in [("day",f::day()),("few",f::too_few()),("one",f::one_configuration()),("nothing",f::nothing_found()),("nasty",f::nasty()),("notshown",f::with_change(1.1,-1.2,3.4)),("nan",f::not_numbers())] {
        std::fs::create_dir_all("target/tmp/look").unwrap();
        std::fs::write(format!("target/tmp/look/{name}.html"), thereback::report::report_html(&a, if name=="nothing" {&charts[1..2]} else {&charts})).unwrap();
        println!("{}", thereback::report::summary(&a));
    }
}
