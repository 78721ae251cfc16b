//! The shape of relief against the theory of beams: exact forms for a neck of one width whose
//! depth runs straight, and a quadrature of its own for any other.

use instrument::{Instrument, read_commission};
use play::bow::Bow;

/// A neck of these widths at nut and last fret, 12 frets on 700 mm: the last lies at 350 mm.
fn neck(widths: (f64, f64), neck: &str) -> Instrument {
    let text = format!(
        "camberwright = 1\ntitle = \"check\"\n[scale]\nlength = 700\nfrets = 12\n\
         [strings]\nnut_spread = 30\nsaddle_spread = 30\nset = [{{ note = \"E4\", gauge = 0.25 }}]\n\
         [board]\nnut_width = {}\nend_width = {}\ncrown_thickness = 6\n\
         [camber]\nlaw = \"single\"\nradius = 300\n[neck]\n{neck}\n",
        widths.0, widths.1
    );
    read_commission(&text, &|_| Err("no files".into())).unwrap_or_else(|faults| panic!("{faults}"))
}

const LAST_MM: f64 = 350.0;

/// Depths at frets 1 and 12 of a neck whose depth runs straight between these at 0 and 350 mm.
fn depths(at_nut: f64, at_last: f64) -> String {
    let first_mm = 700.0 * (1.0 - (-1.0_f64 / 12.0).exp2());
    let at_1 = at_nut + (at_last - at_nut) * first_mm / LAST_MM;
    format!("depth_at_1 = {at_1:?}\ndepth_at_12 = {at_last:?}")
}

/// The greatest of a smooth hill over the neck, by thirds.
fn top_of(hill: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, LAST_MM);
    for _ in 0..200 {
        let (left, right) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if hill(left) < hill(right) {
            low = left;
        } else {
            high = right;
        }
    }
    hill(0.5 * (low + high))
}

fn places() -> impl Iterator<Item = f64> {
    (0..=70).map(|i| 5.0 * f64::from(i))
}

#[test]
fn an_even_neck_bows_as_a_parabola() {
    // A constant moment on a constant section: constant curvature.
    let instrument = neck((50.0, 50.0), "");
    let bow = Bow::of(&instrument);
    for x in places() {
        let u = x / LAST_MM;
        assert!(
            (bow.at(x) - 4.0 * u * (1.0 - u)).abs() < 1e-12,
            "{x}: {}",
            bow.at(x)
        );
    }
    // Carried on, it is the straight tangent at the last fret.
    assert!((bow.at(700.0) + 4.0).abs() < 1e-12, "{}", bow.at(700.0));
    // Depths that are alike are no taper.
    let same = neck((50.0, 50.0), "depth_at_1 = 22\ndepth_at_12 = 22");
    for x in places() {
        assert!((bow.at(x) - Bow::of(&same).at(x)).abs() < 1e-12, "{x}");
    }
}

#[test]
fn a_tapered_neck_bows_as_the_exact_form_says() {
    // Width constant, depth straight from h0 at the nut: the tip of a cantilever of length x under
    // an end moment M stands at 6 M x²/(E b h0² h(x)), from ∫ (x - t) M/(E I(t)) dt in closed form.
    for (at_nut, at_last) in [(24.0, 20.0), (20.0, 28.0), (15.0, 30.0), (18.0, 18.001)] {
        let instrument = neck((50.0, 50.0), &depths(at_nut, at_last));
        let bow = Bow::of(&instrument);
        let depth = |x: f64| at_nut + (at_last - at_nut) * x / LAST_MM;
        let rise = |x: f64| x * x / depth(x);
        let under = |x: f64| rise(LAST_MM) * x / LAST_MM - rise(x);
        let deepest = top_of(under);
        for x in places() {
            let wanted = under(x) / deepest;
            assert!(
                (bow.at(x) - wanted).abs() < 1e-9,
                "{at_nut} {at_last} {x}: {wanted}"
            );
        }
    }
}

#[test]
fn a_tapered_cantilever_s_tip_and_slope_are_in_the_table_s_ratio() {
    // E 12 GPa, b 50, h 24 to 20, L 350 mm, M 10 N m: slope 6.684028e-3, tip 1.0633681 mm, worked
    // out apart from this project. By the chord nut to last fret the bow starts with tip/L and
    // ends with tip/L less the slope.
    let instrument = neck((50.0, 50.0), &depths(24.0, 20.0));
    let bow = Bow::of(&instrument);
    let hair = 1e-4;
    let starts = bow.at(hair) / hair;
    let ends = -bow.at(LAST_MM - hair) / hair;
    let wanted = 1.0 - 6.684_028e-3 * LAST_MM / 1.063_368_1;
    assert!(
        (ends / starts - wanted).abs() < 2e-6,
        "{} for {wanted}",
        ends / starts
    );
}

/// The bow by a rule of its own: curvature summed twice over short steps, midpoints.
fn summed(curvature: impl Fn(f64) -> f64) -> impl Fn(f64) -> f64 {
    const STEPS: usize = 35_000;
    let step = LAST_MM / STEPS as f64;
    let (mut slope, mut rise) = (0.0, vec![0.0]);
    for i in 0..STEPS {
        let here = curvature(step * (i as f64 + 0.5));
        let last = rise[rise.len() - 1];
        rise.push(last + step * (slope + 0.5 * step * here));
        slope += step * here;
    }
    let end = rise[STEPS];
    let under: Vec<f64> = (0..=STEPS)
        .map(|i| end * i as f64 / STEPS as f64 - rise[i])
        .collect();
    let deepest = under.iter().copied().fold(0.0, f64::max);
    move |x: f64| under[(x / step).round() as usize] / deepest
}

#[test]
fn width_depth_and_joint_bow_as_a_plain_sum_says() {
    for (widths, at_nut, at_last, joint) in [
        ((42.0, 56.0), 21.0, 24.0, 12),
        ((42.0, 56.0), 21.0, 24.0, 9),
        ((60.0, 45.0), 26.0, 19.0, 7),
        // So thin at its end that the reckoned depth is held at 5 mm.
        ((50.0, 50.0), 20.0, 5.0, 12),
    ] {
        let instrument = neck(
            widths,
            &format!("{}\njoint = {joint}", depths(at_nut, at_last)),
        );
        let joint_mm = 700.0 * (1.0 - (-f64::from(joint) / 12.0).exp2());
        let bow = Bow::of(&instrument);
        let plain = summed(|x| {
            let u = x / LAST_MM;
            let width = widths.0 + (widths.1 - widths.0) * u;
            let depth: f64 = at_nut + (at_last - at_nut) * u;
            if x > joint_mm {
                0.0
            } else {
                1.0 / (width * depth.powi(3))
            }
        });
        for x in places() {
            assert!(
                (bow.at(x) - plain(x)).abs() < 2e-5,
                "{joint} {x}: {} {}",
                bow.at(x),
                plain(x)
            );
        }
    }
}

#[test]
fn past_the_joint_the_neck_is_straight() {
    let instrument = neck((42.0, 56.0), &format!("{}\njoint = 7", depths(21.0, 24.0)));
    let bow = Bow::of(&instrument);
    let joint_mm = instrument.fret_x_mm(7);
    let fall = (bow.at(LAST_MM) - bow.at(joint_mm)) / (LAST_MM - joint_mm);
    for x in [joint_mm + 10.0, 300.0, 400.0, 700.0] {
        let straight = bow.at(joint_mm) + fall * (x - joint_mm);
        assert!((bow.at(x) - straight).abs() < 1e-10, "{x}");
    }
}
