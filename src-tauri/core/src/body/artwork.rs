//! The drawing of the body: our own lines of a calm, ordinary adult, seen from the front and from behind.
//!
//! Only one half is written down; the other is its mirror image. Coordinates are (distance from the midline,
//! distance from the top); about 5.5 to a centimetre of a body 168 cm tall, 7.5 heads high, cut off below the
//! knees because no zone lies lower. Whoever moves a line that a stored place depends on raises
//! [`super::atlas::OUTLINE_VERSION`]. Not here: zones on it (`faces`).

/// Width of both drawings; the midline is at half of it.
pub(super) const WIDTH: f64 = 360.0;
/// Height of both drawings.
pub(super) const HEIGHT: f64 = 740.0;

/// A run of cubic curves: a starting point, then first handle, second handle and end of each.
pub(super) struct Stroke {
    pub(super) from: [f64; 2],
    pub(super) curves: &'static [[f64; 6]],
}

/// A quiet line: its name, whether it is drawn on both halves, and how it runs.
pub(super) type Detail = (&'static str, bool, Stroke);

/// From the top of the head over shoulder, arm, flank and leg to below the knee.
pub(super) const OUTSIDE: Stroke = Stroke {
    from: [0.0, 14.0],
    curves: &[
        [26.0, 14.0, 43.0, 33.0, 43.0, 62.0],
        [46.5, 60.5, 48.5, 67.0, 47.6, 75.0],
        [46.9, 81.0, 44.8, 86.5, 41.6, 87.0],
        [40.5, 101.0, 36.0, 112.5, 29.5, 120.5],
        [28.6, 130.0, 28.6, 138.0, 30.0, 146.0],
        [32.0, 157.0, 42.0, 162.0, 57.0, 166.0],
        [72.0, 170.0, 86.0, 171.0, 98.0, 175.5],
        [114.0, 181.5, 124.5, 195.0, 127.5, 214.0],
        [129.5, 229.0, 130.5, 244.0, 132.0, 260.0],
        [134.5, 288.0, 138.5, 320.0, 140.5, 347.0],
        [141.7, 364.0, 149.0, 382.0, 150.0, 406.0],
        [150.8, 432.0, 149.5, 462.0, 149.5, 487.0],
        [149.5, 502.0, 155.4, 514.0, 156.2, 531.0],
        [157.2, 552.0, 154.5, 572.0, 150.5, 586.0],
        [148.5, 595.5, 145.5, 602.0, 141.2, 602.0],
        [136.0, 602.0, 134.6, 588.0, 133.8, 564.0],
        [133.4, 555.0, 132.0, 548.0, 130.0, 541.5],
        [130.0, 549.0, 129.6, 561.5, 125.0, 562.3],
        [119.8, 563.0, 117.2, 548.0, 116.8, 533.0],
        [116.3, 516.0, 122.2, 504.0, 122.2, 486.0],
        [122.2, 466.0, 105.0, 430.0, 101.0, 396.0],
        [99.8, 382.0, 100.5, 366.0, 99.5, 350.0],
        [97.5, 318.0, 89.0, 286.0, 84.5, 252.0],
        [84.0, 276.0, 80.5, 296.0, 77.8, 316.0],
        [75.8, 331.0, 75.3, 342.0, 76.0, 354.0],
        [77.3, 377.0, 86.0, 396.0, 92.0, 420.0],
        [96.0, 436.0, 99.0, 456.0, 99.3, 478.0],
        [99.8, 530.0, 93.0, 590.0, 83.0, 644.0],
        [79.6, 662.0, 77.0, 676.0, 77.0, 690.0],
        [77.0, 704.0, 80.0, 718.0, 81.5, 732.0],
    ],
};

/// From below the knee up the inner side of the leg to the crotch.
pub(super) const INSIDE: Stroke = Stroke {
    from: [25.0, 732.0],
    curves: &[
        [24.5, 716.0, 21.5, 704.0, 21.2, 690.0],
        [21.0, 672.0, 23.0, 664.0, 21.5, 648.0],
        [17.0, 600.0, 7.0, 560.0, 3.2, 513.0],
        [2.6, 508.5, 1.4, 507.0, 0.0, 507.0],
    ],
};

pub(super) const FRONT: &[Detail] = &[
    (
        "jaw",
        true,
        Stroke {
            from: [0.0, 139.5],
            curves: &[[9.0, 139.5, 20.0, 133.0, 29.5, 120.5]],
        },
    ),
    (
        "collar bone",
        true,
        Stroke {
            from: [9.0, 188.0],
            curves: &[
                [24.0, 180.0, 46.0, 184.0, 64.0, 177.0],
                [74.0, 173.0, 84.0, 174.0, 92.0, 179.0],
            ],
        },
    ),
    (
        "lowest rib",
        true,
        Stroke {
            from: [9.0, 298.0],
            curves: &[[25.0, 306.0, 44.0, 323.0, 61.0, 347.0]],
        },
    ),
    (
        "navel",
        true,
        Stroke {
            from: [0.0, 378.0],
            curves: &[[3.4, 378.0, 3.4, 386.0, 0.0, 386.0]],
        },
    ),
    (
        "groin",
        true,
        Stroke {
            from: [14.0, 497.0],
            curves: &[[34.0, 488.0, 62.0, 468.0, 84.0, 438.0]],
        },
    ),
    (
        "kneecap",
        true,
        Stroke {
            from: [37.5, 682.0],
            curves: &[[35.0, 662.0, 64.0, 662.0, 61.5, 682.0]],
        },
    ),
    (
        "kneecap",
        true,
        Stroke {
            from: [42.0, 693.0],
            curves: &[[46.0, 697.0, 53.0, 697.0, 57.0, 693.0]],
        },
    ),
    (
        "elbow crease",
        true,
        Stroke {
            from: [106.0, 358.0],
            curves: &[[114.0, 362.0, 126.0, 362.0, 134.0, 356.0]],
        },
    ),
    (
        "fingers",
        true,
        Stroke {
            from: [139.6, 570.0],
            curves: &[[139.6, 580.0, 139.8, 590.0, 140.4, 598.0]],
        },
    ),
    (
        "fingers",
        true,
        Stroke {
            from: [146.0, 568.0],
            curves: &[[146.5, 576.0, 146.8, 584.0, 146.4, 593.0]],
        },
    ),
];

pub(super) const BACK: &[Detail] = &[
    (
        "spine",
        false,
        Stroke {
            from: [0.0, 176.0],
            curves: &[[0.0, 250.0, 0.0, 330.0, 0.0, 414.0]],
        },
    ),
    (
        "nape",
        true,
        Stroke {
            from: [0.0, 133.0],
            curves: &[[10.0, 133.0, 22.0, 128.0, 29.5, 120.5]],
        },
    ),
    (
        "shoulder blade",
        true,
        Stroke {
            from: [36.0, 204.0],
            curves: &[
                [29.0, 230.0, 33.0, 256.0, 43.0, 272.0],
                [55.0, 266.0, 65.0, 250.0, 71.0, 232.0],
            ],
        },
    ),
    (
        "hip bone",
        true,
        Stroke {
            from: [20.0, 393.0],
            curves: &[[36.0, 381.5, 56.0, 377.5, 77.0, 376.5]],
        },
    ),
    (
        "cleft",
        false,
        Stroke {
            from: [0.0, 438.0],
            curves: &[[0.0, 460.0, 0.0, 484.0, 0.0, 507.0]],
        },
    ),
    (
        "buttock fold",
        true,
        Stroke {
            from: [3.0, 511.0],
            curves: &[[14.0, 524.0, 48.0, 528.0, 74.0, 514.0]],
        },
    ),
    (
        "elbow",
        true,
        Stroke {
            from: [115.0, 350.0],
            curves: &[[116.0, 361.0, 127.0, 361.0, 129.0, 350.0]],
        },
    ),
    (
        "back of the knee",
        true,
        Stroke {
            from: [32.0, 680.0],
            curves: &[[42.0, 684.0, 58.0, 684.0, 68.0, 680.0]],
        },
    ),
    (
        "fingers",
        true,
        Stroke {
            from: [139.6, 570.0],
            curves: &[[139.6, 580.0, 139.8, 590.0, 140.4, 598.0]],
        },
    ),
    (
        "fingers",
        true,
        Stroke {
            from: [146.0, 568.0],
            curves: &[[146.5, 576.0, 146.8, 584.0, 146.4, 593.0]],
        },
    ),
];
