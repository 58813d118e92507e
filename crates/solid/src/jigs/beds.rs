//! Pieces laid out on beds of the printer.

/// A piece on a bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnBed {
    /// Number of the bed, from 0.
    pub bed: usize,
    /// Least corner on the bed (mm).
    pub at: [f64; 2],
    /// True if the piece is turned by a quarter, anticlockwise.
    pub turned: bool,
}

/// Room round a piece (mm): chosen, not sourced.
const BESIDE_MM: f64 = 3.0;

/// Lays pieces of given width and depth on as few beds as rows of like depth take.
///
/// Places come in the order of the sizes. A piece larger than the bed gets one to itself.
pub fn lay_on_beds(sizes: &[[f64; 2]], bed: [f64; 2]) -> Vec<OnBed> {
    // Each lies with its long side along the width, if the bed has it.
    let lies: Vec<(bool, [f64; 2])> = sizes
        .iter()
        .map(|&[w, d]| {
            let turned = (d > w && d <= bed[0] && w <= bed[1]) || w > bed[0];
            (turned, if turned { [d, w] } else { [w, d] })
        })
        .collect();
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by(|&i, &j| lies[j].1[1].total_cmp(&lies[i].1[1]).then(i.cmp(&j)));
    // Rows: bed, low edge, depth, width used.
    let mut rows: Vec<(usize, f64, f64, f64)> = Vec::new();
    let mut used: Vec<f64> = Vec::new();
    let mut places = vec![
        OnBed {
            bed: 0,
            at: [0.0; 2],
            turned: false
        };
        sizes.len()
    ];
    for i in order {
        let (turned, [w, d]) = lies[i];
        let row = rows
            .iter()
            .position(|&(_, _, depth, x)| d <= depth && (x == 0.0 || x + w <= bed[0]));
        let row = row.unwrap_or_else(|| {
            let home = used.iter().position(|low| low + d <= bed[1]);
            let home = home.unwrap_or_else(|| {
                used.push(0.0);
                used.len() - 1
            });
            rows.push((home, used[home], d, 0.0));
            used[home] += d + BESIDE_MM;
            rows.len() - 1
        });
        let (home, y, _, x) = rows[row];
        places[i] = OnBed {
            bed: home,
            at: [x, y],
            turned,
        };
        rows[row].3 = x + w + BESIDE_MM;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_do_not_overlap_and_stay_on_the_bed() {
        let sizes: Vec<[f64; 2]> = (0..40)
            .map(|i| [10.0 + f64::from(i * 7 % 60), 5.0 + f64::from(i * 11 % 90)])
            .collect();
        let places = lay_on_beds(&sizes, [120.0, 100.0]);
        let boxes: Vec<(usize, [f64; 4])> = places
            .iter()
            .zip(&sizes)
            .map(|(place, size)| {
                let [w, d] = if place.turned {
                    [size[1], size[0]]
                } else {
                    *size
                };
                let [x, y] = place.at;
                assert!(x + w <= 120.0 && y + d <= 100.0);
                (place.bed, [x, y, x + w, y + d])
            })
            .collect();
        for (i, (bed, a)) in boxes.iter().enumerate() {
            for (other, b) in &boxes[..i] {
                let apart = a[0] >= b[2] || b[0] >= a[2] || a[1] >= b[3] || b[1] >= a[3];
                assert!(bed != other || apart);
            }
        }
        assert!(places.iter().any(|place| place.bed > 0));
    }
}
