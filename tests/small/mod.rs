//! Songs of a few bars in which everything that the arranger may meet is to be found.

use thumbline::arrange::Layer;

/// Title, tuning and file of songs to find ideas in: pickups, rests, phrases, parallel bars, chords on
/// every beat and none, beats of two and of three parts, bars of one beat, quick runs, ideas
/// taken and left.
pub const SMALL: [(&str, &str, &str); 7] = [
    (
        "A pickup, phrases and bars alike in D minor",
        "E2 A2 D3 G3 B3 E4",
        "key = \"Dm\"\nmeter = \"3/4\"\nunit = \"1/8\"\ntempo = \"1/4=96\"\ntune = \"\"\"\n\
         E2 | \"Dm\"F2 A2 d2 | \"C\"c2 z2 G2 | \"Dm\"F2 A2 d2 | \"A7\"^c4 E2 || \"Gm\"B2 A2 G2 | \
         \"A7\"A2 G2 E2 | \"Gm\"F2 A2 d2 | \"N.C.\"z2 e2 A2 | \"C\"G6 | \"Dm\"D6 |]\n\"\"\"\n",
    ),
    (
        "Beats of three parts in G",
        "E2 A2 D3 G3 B3 E4",
        "key = \"G\"\nmeter = \"6/8\"\nunit = \"1/8\"\ntempo = \"3/8=60\"\ntune = \"\"\"\n\
         \"G\"G6 | \"C\"cde \"D\"d3 | \"Em\"e3- e2B | \"F\"c3 \"G\"B3 | \"Am\"ABc \"D7\"d2c | \"G\"B6 |]\n\"\"\"\n",
    ),
    (
        "Quick and without much room in E",
        "E2 A2 D3 G3 B3 E4",
        "key = \"E\"\nmeter = \"2/4\"\nunit = \"1/16\"\ntempo = \"1/4=132\"\ntune = \"\"\"\n\
         \"E\"e2f2g2f2 | \"B7\"d2c2B2A2 | \"E\"G4 \"A\"A4 | \"F#m\"c8 | \"C#m\"e4 \"B\"z4 | \"E\"B8 |]\n\"\"\"\n",
    ),
    (
        "Short bars and long ones in A",
        "E2 A2 D3 G3 B3 E4",
        "key = \"A\"\nmeter = \"5/4\"\nunit = \"1/4\"\ntempo = \"1/4=110\"\ntune = \"\"\"\n\
         \"A\"c2 e3 | \"D\"f2 d \"E\"e2 | [M:1/4] \"A\"A | [M:2/16] \"E\"B/2 | [M:2/2] \"D\"f2 \"E\"e2 | \
         \"F#m\"a4 | [M:9/8] \"A\"c3/2 c3/2 \"E7\"B3/2 | \"A\"A4- A/2 |]\n\"\"\"\n",
    ),
    (
        "Open strings tuned down, tune high and low",
        "D2 A2 D3 G3 A3 D4",
        "key = \"D\"\nmeter = \"4/4\"\nunit = \"1/8\"\ntempo = \"1/4=84\"\ntune = \"\"\"\n\
         \"D\"dcAF d4 | \"G\"B2 d2 g4 | \"Bm\"f2 d2 B4 | \"A\"A3 E A4 | \"D\"D4 F4 | \"D/F#\"a2 f2 d4 | \
         \"G\"G8 | \"D\"D8 |]\n\"\"\"\n",
    ),
    (
        "New keys on the way, a low tune, and no double bar at the end",
        "E2 A2 D3 G3 B3 E4",
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=100\"\ntune = \"\"\"\n\
         \"C\"E2 G2 | \"Am\"A,2 C2 | [K:D] \"D\"F2 A2 | \"Bm\"B,2 D2 | [K:E] \"F#m\"c4 | \"G#m\"B4 | \
         \"A\"A,4 | \"B\"B,4 | \"E\"E4 |\n\"\"\"\n",
    ),
    (
        "With ideas taken and left in C",
        "E2 A2 D3 G3 B3 E4",
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=90\"\ntune = \"\"\"\n\
         \"C\"e2 g2 | \"F\"a2 c2 | \"C\"e2 g2 | \"G7\"d2 B2 | \"C\"e2 g2 | \"F\"a4 | \"G\"d4 | \"C\"c4 |]\n\"\"\"\n\
         idea = [\n{ bar = 1, figure = \"root and fifth\" },\n{ bar = 2, figure = \"hits\" },\n\
         { bar = 7, beat = 1, figure = \"roll\", strings = 5 },\n{ bar = 5, figure = \"no bass\", left = true },\n]\n",
    ),
];

/// Songs with decisions of the player in them: what they are, the capo, the layer, the file.
pub const DECIDED: [(&str, u8, Layer, &str); 17] = [
    (
        "Pins of every kind, some where nothing is struck",
        0,
        Layer::Fill,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=80\"\ntune = \"\"\"\n\
         \"C\"G | \"C\"e2 g2 | \"F\"a2 c'2 | \"G\"d z B2 | \"N.C.\"c4 | \"Am\"c e c2 | \"C\"c4 |]\n\"\"\"\n\
         pin = [\n{ bar = 0, beat = 1, bass = \"C3\" },\n{ bar = 1, beat = 3, bass = \"G2\" },\n\
         { bar = 1, beat = 2, nothing = true },\n{ bar = 1, beat = 4, fill = 0 },\n\
         { bar = 2, beat = 1, fill = 2 },\n{ bar = 2, beat = 3, note = \"melody\", string = 1, finger = 4 },\n\
         { bar = 3, beat = 1, grip = \"32003x\" },\n{ bar = 3, beat = 3, nothing = true },\n\
         { bar = 4, beat = 1, bass = \"A\" },\n{ bar = 5, beat = 1, note = \"bass\", string = 6, fret = 5 },\n\
         { bar = 5, beat = 2, grip = \"5x555x\" },\n]\n",
    ),
    (
        "The same without layers 2 and 3, where most of it says nothing",
        0,
        Layer::Melody,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e2 g2 | \"F\"a4 |]\n\"\"\"\n\
         pin = [\n{ bar = 1, beat = 1, fill = 2 },\n{ bar = 1, beat = 3, note = \"melody\", string = 2 },\n\
         { bar = 2, beat = 1, bass = \"F2\" },\n]\n",
    ),
    (
        "High up with a capo, and quicker from bar 2 on",
        4,
        Layer::Fill,
        "key = \"Bb\"\nmeter = \"4/4\"\nunit = \"1/8\"\ntempo = \"1/4=50\"\ntune = \"\"\"\n\
         \"Bb\"b2 f'2 d'2 b2 | [Q:1/4=200] \"Eb\"g'2 e'2 b2 g2 | \"F7\"f'2 c'2 [Q:1/4=60] a2 f2 | \"Bb\"b8 |]\n\"\"\"\n",
    ),
    (
        "A low tune, over which notes have to be let go",
        0,
        Layer::Fill,
        "key = \"G\"\nmeter = \"3/4\"\nunit = \"1/8\"\ntempo = \"1/4=100\"\ntune = \"\"\"\n\
         \"G\"G,2 B,2 D2 | \"C\"E2 C2 G,2 | \"D7\"F,2 A,2 C2 | \"Em\"E,2 G,2 B,2 | \"G\"G,6 |]\n\"\"\"\n",
    ),
    (
        "Ideas of every kind at once",
        0,
        Layer::Colour,
        "key = \"G\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=84\"\ntune = \"\"\"\n\
         D | \"G\"B4- | B2 d2 | \"Am7\"e2 \"D7\"d2 | \"G\"B2 G2 | \"C\"g4 | \"D\"a2 f2 | \"Em\"e2 d/B/A | \"G\"G4 |]\n\"\"\"\n\
         idea = [\n{ bar = 1, beat = 1, figure = \"broken chord\", every = \"1/8\" },\n{ bar = 2, figure = \"hits\" },\n\
         { bar = 3, beat = 1, figure = \"chord\", chord = \"Am9\" },\n{ bar = 3, beat = 1, figure = \"roll\", strings = 5 },\n\
         { bar = 4, figure = \"doubled\", by = \"octave\" },\n{ bar = 5, figure = \"no bass\" },\n\
         { bar = 5, beat = 1, figure = \"broken chord\", every = \"1/4\" },\n{ bar = 5, figure = \"hits\" },\n\
         { bar = 6, beat = 1, figure = \"bass note\", bass = \"F#2\" },\n{ bar = 6, figure = \"bass on the beats\" },\n\
         { bar = 7, beat = 3, figure = \"harmonic\", string = 4, fret = 12 },\n]\n\
         pin = [{ bar = 6, beat = 3, fill = 1 }]\n",
    ),
    (
        "A harmonic under a pinned grip",
        0,
        Layer::Colour,
        "key = \"G\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=84\"\ntune = \"\"\"\n\
         \"G\"g4 | \"Em\"e2 g2 | \"G\"g4 |]\n\"\"\"\n\
         idea = [\n{ bar = 1, beat = 1, figure = \"harmonic\", string = 3, fret = 12 },\n\
         { bar = 3, figure = \"bass note\", beat = 1, bass = \"B2\" },\n]\n\
         pin = [\n{ bar = 1, beat = 1, grip = \"x x 0 12 x x\" },\n{ bar = 2, beat = 1, grip = \"022000\" },\n]\n",
    ),
    (
        "One pin that can't be kept",
        0,
        Layer::Fill,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"c4 | \"G\"B4 |]\n\"\"\"\n\
         pin = [\n{ bar = 1, beat = 1, fill = 2 },\n{ bar = 2, beat = 1, grip = \"320001\" },\n]\n",
    ),
    (
        "One idea that can't be kept",
        0,
        Layer::Colour,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"c4 | \"G\"B4 |]\n\"\"\"\n\
         idea = [{ bar = 1, beat = 2, figure = \"harmonic\", string = 1, fret = 12 }]\n",
    ),
    (
        "A slur over a rest is plucked, and a slide",
        0,
        Layer::Colour,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e z g2 | \"C\"e f g2 |]\n\"\"\"\n\
         idea = [\n{ bar = 1, beat = 3, figure = \"slur\", string = 2, fingers = \"24\" },\n\
         { bar = 2, beat = 2, figure = \"slur\", string = 2, fingers = \"44\" },\n]\n",
    ),
    (
        "A pin where nothing is struck",
        0,
        Layer::Fill,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e4 | \"G\"d4 |]\n\"\"\"\n\
         pin = [{ bar = 2, beat = 3, note = \"melody\", string = 2 }]\n",
    ),
    (
        "A pinned grip with the bass that an idea asks for, one under a rest, one over what rings",
        0,
        Layer::Colour,
        "key = \"G\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"G\"g2 d2 | \"C\"z4 | \"E\"e B e2 | \"G\"g4 |]\n\"\"\"\n\
         idea = [{ bar = 2, beat = 1, figure = \"bass note\", bass = \"E2\" }]\n\
         pin = [\n{ bar = 1, beat = 3, grip = \"xx043x\" },\n{ bar = 2, beat = 1, grip = \"032010\" },\n\
         { bar = 3, beat = 2, grip = \"02210x\" },\n]\n",
    ),
    (
        "A harmonic over a pinned grip that rings",
        0,
        Layer::Colour,
        "key = \"D\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"D/A\"f2 d'2 | \"D\"d4 |]\n\"\"\"\n\
         idea = [{ bar = 1, beat = 3, figure = \"harmonic\", string = 4, fret = 5 }]\n\
         pin = [{ bar = 1, beat = 1, grip = \"x0xx32\" }, { bar = 1, beat = 3, grip = \"x05x3x\" }]\n",
    ),
    (
        "A grip for more strings than there are",
        0,
        Layer::Fill,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e4 | \"G\"d4 |]\n\"\"\"\n\
         pin = [{ bar = 1, beat = 1, grip = \"0032010\" }]\n",
    ),
    (
        "From the lowest string to the last fret, which is pinned",
        0,
        Layer::Fill,
        "key = \"E\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"E\"E,,4 | \"E\"b4 |]\n\"\"\"\n\
         pin = [{ bar = 2, beat = 1, grip = \"0 x x x x 19\" }]\n",
    ),
    (
        "Fill asked for where the bass is the highest layer, and a rolled bass without a chord",
        0,
        Layer::Bass,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\"C\"e4 | \"G\"d4 |]\n\"\"\"\n\
         pin = [{ bar = 1, beat = 1, fill = 2 }]\n",
    ),
    (
        "Bass notes where no chord is written, in the pickup none, and a roll over one",
        0,
        Layer::Colour,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\nG | \"N.C.\"e4 | \"C\"e4 |]\n\"\"\"\n\
         idea = [\n{ bar = 0, beat = 4, figure = \"bass note\", bass = \"G2\" },\n\
         { bar = 1, beat = 1, figure = \"bass note\", bass = \"A2\" },\n\
         { bar = 1, beat = 1, figure = \"roll\", strings = 5 },\n]\n\
         pin = [{ bar = 2, beat = 1, bass = \"C3\" }]\n",
    ),
    (
        "A tune that no octave of it and some keys fit",
        0,
        Layer::Fill,
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\nA,4 | ^c''4 |]\n\"\"\"\n",
    ),
];
