package lag

import "math/big"

// standing says whether there are weights at all by which one of several costs less than all others.
type standing struct {
	by   int        // 1: there are; 0: at best it costs as much as the least of the others; -1: there are none by which it costs as little
	with []*big.Rat // by: such weights, with sum 1
	mix  []*big.Rat // by -1: shares of all, with sum 1, that together cost less of everything counted
}

// stand finds how one of several stands whose counts are given, by a game: who picks the weights wants the most by which it costs less than
// each of the others, who picks shares of the others wants the least. By von Neumann's theorem both settle on one value, and its sign is
// the answer; the weights and the shares are the proof of it. The game is solved as a linear program by the simplex method with Bland's
// rule, in fractions, so that it ends and nothing is rounded. (Dantzig, Linear Programming and Extensions, 1963; from memory.)
func stand(of [][]*big.Rat, i int) standing {
	var others []int
	for j := range of {
		if j != i {
			others = append(others, j)
		}
	}
	k := len(of[i])
	if len(others) == 0 {
		return standing{by: 1, with: equalShares(k)}
	}
	low := new(big.Rat)
	gain := make([][]*big.Rat, k) // by count, then other: by how much one costs less
	for r := range gain {
		gain[r] = make([]*big.Rat, len(others))
		for c, j := range others {
			gain[r][c] = new(big.Rat).Sub(of[j][r], of[i][r])
			if gain[r][c].Cmp(low) < 0 {
				low = gain[r][c]
			}
		}
	}
	shift := new(big.Rat).Sub(big.NewRat(1, 1), low) // makes all of the game positive
	for r := range gain {
		for c := range gain[r] {
			gain[r][c] = new(big.Rat).Add(gain[r][c], shift)
		}
	}
	shares, weights, sum := simplex(gain)
	value := new(big.Rat).Inv(sum)
	for _, x := range weights {
		x.Mul(x, value)
	}
	s := standing{by: value.Cmp(shift)}
	switch {
	case s.by < 0:
		s.mix = make([]*big.Rat, len(of))
		for c, j := range others {
			s.mix[j] = shares[c].Mul(shares[c], value)
		}
		s.mix[i] = new(big.Rat)
	default:
		s.with = weights
	}
	return s
}

func equalShares(k int) (s []*big.Rat) {
	for range k {
		s = append(s, big.NewRat(1, int64(k)))
	}
	return s
}

// simplex finds x ≥ 0 with the largest sum such that a x ≤ 1 in every row, a positive; y ≥ 0 with the smallest sum such that y a ≥ 1 in
// every column; and that sum, which is one.
func simplex(a [][]*big.Rat) (x, y []*big.Rat, sum *big.Rat) {
	rows, cols := len(a), len(a[0])
	t := make([][]*big.Rat, rows+1) // the last row: what is to grow; the last column: the right sides
	basis := make([]int, rows)
	for r := range t {
		t[r] = make([]*big.Rat, cols+rows+1)
		for c := range t[r] {
			t[r][c] = new(big.Rat)
			switch {
			case r < rows && c < cols:
				t[r][c].Set(a[r][c])
			case r < rows && (c == cols+r || c == cols+rows):
				t[r][c].SetInt64(1)
			case r == rows && c < cols:
				t[r][c].SetInt64(-1)
			}
		}
		if r < rows {
			basis[r] = cols + r
		}
	}
	for {
		in := -1
		for c := 0; c < cols+rows && in < 0; c++ { // Bland: the first that helps
			if t[rows][c].Sign() < 0 {
				in = c
			}
		}
		if in < 0 {
			break
		}
		out := -1
		var best *big.Rat
		for r := range rows {
			if t[r][in].Sign() <= 0 {
				continue
			}
			q := new(big.Rat).Quo(t[r][cols+rows], t[r][in])
			if best == nil || q.Cmp(best) < 0 || q.Cmp(best) == 0 && basis[r] < basis[out] {
				out, best = r, q
			}
		}
		pivot(t, out, in) // there is one: a is positive, so that nothing grows without end
		basis[out] = in
	}
	x, y = make([]*big.Rat, cols), make([]*big.Rat, rows)
	for c := range x {
		x[c] = new(big.Rat)
	}
	for r, c := range basis {
		if c < cols {
			x[c].Set(t[r][cols+rows])
		}
		y[r] = t[rows][cols+r]
	}
	return x, y, t[rows][cols+rows]
}

// pivot makes a column zero but for a 1 in one row.
func pivot(t [][]*big.Rat, row, col int) {
	p := new(big.Rat).Set(t[row][col])
	for c := range t[row] {
		t[row][c].Quo(t[row][c], p)
	}
	for r := range t {
		if r == row || t[r][col].Sign() == 0 {
			continue
		}
		f := new(big.Rat).Set(t[r][col])
		for c := range t[r] {
			t[r][c].Sub(t[r][c], new(big.Rat).Mul(f, t[row][c]))
		}
	}
}
