//! Sums of areas along rows, taken together into runs.

use super::{BLOCK, Coverage, FULL};

/// Added to every sum of a row, so that four of them in one word never borrow from each other.
const BIAS: u16 = 20_000;
/// The same number four times.
const FOUR: u64 = 0x0001_0001_0001_0001;

/// Where the gathering of rows has got to.
pub(super) struct Row {
    /// The box's first column, and one past the picture's last.
    pub left: u32,
    pub side: u32,
    /// How many areas there are by now.
    pub used: usize,
}

impl Row {
    #[inline]
    #[expect(clippy::cast_possible_truncation, reason = "inside the picture")]
    fn column(&self, block: usize) -> u16 {
        (self.left + (block * BLOCK) as u32).min(self.side) as u16
    }

    /// Sums one row; `areas` has room for all its pixels.
    pub fn gather(
        &mut self,
        blocks: &mut [[i16; BLOCK]],
        bits: &mut [u64],
        areas: &mut [u16],
        out: &mut Coverage,
    ) {
        let mut used = self.used;
        // The sum from block `next` on, up to the next touched one.
        let (mut next, mut sum) = (0, u64::from(BIAS));
        // Where the areas start that are not yet in a run, and their first block.
        let (mut soft, mut soft_block) = (used, 0);
        for (word, bits) in bits.iter_mut().enumerate() {
            let mut rest = std::mem::take(bits);
            // To sum one block between others costs less than to leave it out.
            rest |= (rest << 1) & (rest >> 1);
            while rest != 0 {
                let mut at = word * 64 + rest.trailing_zeros() as usize;
                if at != next && went_on(blocks, next) {
                    at = next;
                } else {
                    rest &= rest - 1;
                }
                if at != next {
                    if let Some(whole) = even(sum) {
                        out.push_soft(self.column(soft_block), self.column(next), soft);
                        if whole {
                            out.push_hard(self.column(next), self.column(at));
                        }
                        (soft, soft_block) = (used, at);
                    } else {
                        used += spread(sum, areas, used, at - next);
                    }
                }
                if let (Some(block), Some(to)) =
                    (blocks.get_mut(at), areas.get_mut(used..used + BLOCK))
                {
                    sum = summed(block, sum, to);
                }
                used += BLOCK;
                next = at + 1;
            }
        }
        if went_on(blocks, next) {
            if let (Some(block), Some(to)) =
                (blocks.get_mut(next), areas.get_mut(used..used + BLOCK))
            {
                sum = summed(block, sum, to);
            }
            used += BLOCK;
            next += 1;
        }
        // What closes the row beyond the right side was never added: coverage goes on to it.
        if even(sum) != Some(false) && next < blocks.len() {
            used += spread(sum, areas, used, blocks.len() - next);
            next = blocks.len();
        }
        out.push_soft(self.column(soft_block), self.column(next), soft);
        self.used = used;
    }
}

/// True where the last piece before a block without a bit has gone on into it.
#[inline]
fn went_on(blocks: &[[i16; BLOCK]], next: usize) -> bool {
    // By two pixels at most.
    blocks.get(next).is_some_and(|b| (b[0] | b[1]) != 0)
}

/// True for a sum that covers wholly, false for one that covers nothing.
#[inline]
#[expect(clippy::cast_possible_truncation, reason = "biased, of 16 bits")]
fn even(sum: u64) -> Option<bool> {
    match level(sum as u16) {
        0 => Some(false),
        255 => Some(true),
        _ => None,
    }
}

/// The same sum for several blocks. Gives how many areas that makes.
#[cold]
#[expect(clippy::cast_possible_truncation, reason = "biased, of 16 bits")]
fn spread(sum: u64, areas: &mut [u16], used: usize, blocks: usize) -> usize {
    areas[used..used + blocks * BLOCK].fill(sum as u16);
    blocks * BLOCK
}

/// Sums a block on from `sum` and clears it. Writes the sums of its pixels, gives the last.
#[inline]
#[expect(clippy::cast_possible_truncation, reason = "taken apart")]
fn summed(block: &mut [i16; BLOCK], mut sum: u64, areas: &mut [u16]) -> u64 {
    let [a, b, c, d, e, f, g, h] = *block;
    let mut four = |part: [i16; 4]| {
        let [a, b, c, d] = part.map(|v| u64::from(v.cast_unsigned()));
        let packed = a | b << 16 | c << 32 | d << 48;
        // As one number: each negative one of the four borrows from the next.
        let four = packed.wrapping_sub((packed >> 15 & FOUR) << 16);
        // A product with ones is the sums so far; biased, none of them is negative.
        let sums = four.wrapping_add(sum).wrapping_mul(FOUR);
        sum = sums >> 48;
        sums
    };
    let (low, high) = (four([a, b, c, d]), four([e, f, g, h]));
    *block = [0; BLOCK];
    areas.copy_from_slice(&[
        low as u16,
        (low >> 16) as u16,
        (low >> 32) as u16,
        (low >> 48) as u16,
        high as u16,
        (high >> 16) as u16,
        (high >> 32) as u16,
        (high >> 48) as u16,
    ]);
    sum
}

/// A biased sum to 256 levels, rounded to nearest.
#[inline]
#[expect(clippy::cast_possible_truncation, reason = "clamped")]
pub(super) fn level(sum: u16) -> u8 {
    let area = sum.abs_diff(BIAS).min(FULL as u16);
    ((area - ((area + 128) >> 8) + 32) >> 6) as u8
}
