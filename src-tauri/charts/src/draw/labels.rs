//! Labels beside points, moved apart where they would lie on each other. Not here: drawing them.

/// How high a line of labels is, in pixels.
pub(crate) const LINE: f64 = 17.0;
/// How far a label stays off its point.
const OFF: f64 = 8.0;

/// Where labels are to stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Room {
    /// The left edge.
    pub left: f64,
    /// The right edge.
    pub right: f64,
    /// The upper edge.
    pub top: f64,
    /// The lower edge.
    pub bottom: f64,
}

/// A label: the point that it names and how wide its words are.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Label {
    /// The point, from the left.
    pub x: f64,
    /// The point, from above.
    pub y: f64,
    /// How wide the words are.
    pub wide: f64,
}

/// The upper left corner of each label: beside its point where it fits, inside the room, and on no other label as
/// long as there is a free line; where there is none it has no place.
pub(crate) fn places(labels: &[Label], room: Room) -> Vec<Option<(f64, f64)>> {
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut places = vec![None; labels.len()];
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by(|a, b| labels[*a].y.total_cmp(&labels[*b].y).then(a.cmp(b)));
    let lines = ((room.bottom - room.top) / LINE).floor().max(1.0) as usize;
    for n in order {
        let label = labels[n];
        let right = label.x + OFF;
        let x = if right + label.wide <= room.right {
            right
        } else {
            (label.x - OFF - label.wide).max(room.left)
        };
        let wanted = label.y - LINE;
        let free = |y: &f64| {
            let apart = |(l, t, w): &(f64, f64, f64)| {
                x + label.wide <= *l || l + w <= x || (y - t).abs() >= LINE
            };
            *y >= room.top && y + LINE <= room.bottom && taken.iter().all(apart)
        };
        // The line nearest to the point first, then farther and farther, below and above in turn.
        let start = wanted.clamp(room.top, (room.bottom - LINE).max(room.top));
        let near = (0..=2 * lines).flat_map(|step| {
            let far = step as f64 * LINE / 2.0;
            [start - far, start + far]
        });
        if let Some(y) = near.into_iter().find(free) {
            taken.push((x, y, label.wide));
            places[n] = Some((x, y));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Room = Room {
        left: 50.0,
        right: 330.0,
        top: 40.0,
        bottom: 240.0,
    };

    #[test]
    fn labels_of_points_at_one_place_lie_on_no_other_and_inside_the_room() {
        let labels: Vec<Label> = (0..9)
            .map(|n| Label {
                x: 320.0 - f64::from(n % 3),
                y: 60.0,
                wide: 150.0,
            })
            .collect();
        let places = places(&labels, ROOM);
        for (n, place) in places.iter().enumerate() {
            let (x, y) = place.unwrap();
            assert!(x >= ROOM.left && x + 150.0 <= ROOM.right && y >= ROOM.top);
            assert!(y + LINE <= ROOM.bottom);
            for other in &places[..n] {
                let (_, other) = other.unwrap();
                assert!((y - other).abs() >= LINE - 1e-9, "{places:?}");
            }
        }
    }

    #[test]
    fn more_labels_than_lines_leave_some_without_a_place() {
        let labels = [Label {
            x: 200.0,
            y: 100.0,
            wide: 200.0,
        }; 20];
        let found = places(&labels, ROOM).into_iter().flatten().count();
        assert!((6..=11).contains(&found), "{found}");
    }
}
