use super::*;

#[test]
fn built_in_themes_paint_every_role() {
    for (name, text) in BUILT_IN {
        let theme = Theme::parse(text).unwrap();
        assert_eq!(Theme::named(name), Ok(theme));
        for (i, (role, word)) in ROLES.iter().enumerate() {
            assert_eq!(*role as usize, i);
            assert!(text.contains(&format!("\n{word} = ")), "{name}: {word}");
        }
    }
}

#[test]
fn no_colour_means_none() {
    let theme = Theme::fitting(true, true);
    for (role, _) in ROLES {
        assert_eq!((theme.style(role).fg, theme.style(role).bg), (None, None));
    }
    let of = |name| Theme::named(name).unwrap();
    assert_eq!(Theme::fitting(false, true), of("harbour"));
    assert_eq!(Theme::fitting(false, false), of("plain"));
}

#[test]
fn a_theme_has_colours_of_its_own() {
    let theme = Theme::parse(
        "bass = \"rust on dusk bold\"\n[palette]\nrust = \"#d98f6a\"\ndusk = \"blue\"",
    )
    .unwrap();
    let expected = Style::new()
        .fg(Color::Rgb(0xd9, 0x8f, 0x6a))
        .bg(Color::Blue);
    assert_eq!(
        theme.style(Role::Bass),
        expected.add_modifier(Modifier::BOLD)
    );
    assert_eq!(theme.style(Role::Fill), Style::new());
}

#[test]
fn mistakes_are_named() {
    let said = |text: &str| Theme::parse(text).unwrap_err().to_string();
    assert!(said("cursor = \"mauvish\"").contains("mauvish"));
    assert!(said("cursors = \"red\"").contains("cursors"));
    assert!(said("cursor = 5").contains("quotes"));
    assert!(said("[palette]\nrust = \"rusty\"").contains("rusty"));
    assert!(said("[palette]\nrust = \"7\"").contains("“7”"));
    assert!(said("bass = \"reset\"").contains("“reset”"));
    assert!(said("bass = \"red on\"").contains("“on”"));
    assert!(said("cursor = ").contains("TOML"));
    let unknown = Theme::named("x").unwrap_err().to_string();
    assert!(unknown.contains("harbour, daylight, lighthouse, flags, plain, none"));
}

/// Red, green and blue of a colour in linear light, 0 to 1: the sRGB transfer function of IEC
/// 61966-2-1, as WCAG 2.2 quotes it under “relative luminance”.
fn linear(colour: Color) -> Option<[f64; 3]> {
    let Color::Rgb(r, g, b) = colour else {
        return None;
    };
    Some([r, g, b].map(|v| match f64::from(v) / 255.0 {
        v if v <= 0.04045 => v / 12.92,
        v => ((v + 0.055) / 1.055).powf(2.4),
    }))
}

/// WCAG 2.2, “contrast ratio”.
fn contrast(one: Color, other: Color) -> Option<f64> {
    let luminance = |c| linear(c).map(|[r, g, b]| 0.2126 * r + 0.7152 * g + 0.0722 * b);
    let (a, b) = (luminance(one)?, luminance(other)?);
    Some((a.max(b) + 0.05) / (a.min(b) + 0.05))
}

/// WCAG 2.2, success criteria 1.4.3 (4.5 to 1) and, for the theme of strong contrasts, 1.4.6
/// (7 to 1): every meaning on the ground, on the bar under the cursor, and on its own ground.
#[test]
fn every_meaning_can_be_read_on_its_ground() {
    for (name, least) in [
        ("harbour", 4.5),
        ("daylight", 4.5),
        ("flags", 4.5),
        ("lighthouse", 7.0),
    ] {
        let theme = Theme::named(name).unwrap();
        let ground = theme.style(Role::Ground).bg.unwrap();
        let bar = theme.style(Role::Bar).bg.unwrap();
        for (role, word) in ROLES {
            let style = theme.style(role);
            let Some(paint) = style.fg else { continue };
            let grounds = style.bg.map_or(vec![ground, bar], |own| vec![own]);
            for on in grounds {
                let ratio = contrast(paint, on).unwrap();
                assert!(ratio >= least, "{name}: {word} on {on} has {ratio:.2}");
            }
        }
    }
}

/// How dichromats see, in linear light: Machado, Oliveira and Fernandes, A Physiologically-based
/// Model for Simulation of Color Vision Deficiency, IEEE TVCG 15 (2009), severity 1.0 (from memory).
const SEEN: [(&str, [[f64; 3]; 3]); 4] = [
    ("all", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
    (
        "without red cones",
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ],
    ),
    (
        "without green cones",
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ],
    ),
    (
        "without blue cones",
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ],
    ),
];

/// CIE 1976 L*a*b* (ISO/CIE 11664-4) of linear sRGB, white point D65.
fn lab(light: [f64; 3]) -> [f64; 3] {
    let [r, g, b] = light.map(|v| v.clamp(0.0, 1.0));
    let f = |t: f64| match t > 0.008856 {
        true => t.cbrt(),
        false => 7.787 * t + 16.0 / 116.0,
    };
    let x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505);
    let y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
    let z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.0890);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Layers, ring and chord names stay apart for every kind of eye: about seven times the difference
/// that is just noticed (2.3 in CIE 1976 units; from memory).
#[test]
fn flags_stay_apart_for_all_eyes() {
    let theme = Theme::named("flags").unwrap();
    let roles = [
        Role::Melody,
        Role::Bass,
        Role::Fill,
        Role::Ring,
        Role::Chord,
    ];
    for (eyes, seen) in SEEN {
        let look = |role| {
            let light = linear(theme.style(role).fg.unwrap()).unwrap();
            lab(seen.map(|row| row.iter().zip(light).map(|(m, v)| m * v).sum()))
        };
        for (i, one) in roles.iter().enumerate() {
            for other in &roles[..i] {
                let apart = (look(*one).iter().zip(look(*other)))
                    .map(|(a, b)| (a - b).powi(2))
                    .sum::<f64>()
                    .sqrt();
                assert!(apart >= 16.0, "{eyes}: {one:?} and {other:?}: {apart:.1}");
            }
        }
    }
}
