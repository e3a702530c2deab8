package calibrate

// doubt is what there is to say of answers that contradict each other.
type doubt struct {
	least   []int   // a smallest set of answers that cannot all be true, by number
	missing int     // the nearest worlds fit all answers but so many
	nearest worlds  // and these are they
	apart   [][]int // which answers each kind of nearest world does not fit
}

// mostTried is how many sets of answers are looked at to make the smallest smaller.
const mostTried = 4000

// doubts finds them.
func (c *Calibration) doubts() doubt {
	all := c.answers()
	truth := make([]worlds, len(all)) // of each answer, the worlds that fit it
	for i, a := range all {
		truth[i] = c.sp.all().where(a.table, a.shown)
	}
	d := doubt{least: c.clash(truth)}
	d.nearest, d.missing, d.apart = c.closest(truth)
	return d
}

// clash is a smallest set of answers that no world fits.
func (c *Calibration) clash(truth []worlds) []int {
	var core []int
	for i := range truth {
		core = append(core, i)
	}
	fits := func(set []int) bool {
		w := c.sp.all()
		for _, i := range set {
			if w = w.and(truth[i]); w.empty() {
				return false
			}
		}
		return true
	}
	for k := len(core) - 1; k >= 0; k-- { // take away what is not needed
		less := append(append([]int{}, core[:k]...), core[k+1:]...)
		if !fits(less) {
			core = less
		}
	}
	tried := 0
	for size := 1; size < len(core); size++ {
		set := make([]int, 0, size)
		var grow func(from int, w worlds) []int
		grow = func(from int, w worlds) []int {
			for i := from; i < len(truth); i++ {
				if tried++; tried > mostTried {
					return nil
				}
				n, last := w.and(truth[i]), len(set)+1 == size
				if n.empty() {
					return append(append([]int{}, set...), i)
				}
				if last {
					continue
				}
				set = append(set, i)
				if found := grow(i+1, n); found != nil {
					return found
				}
				set = set[:len(set)-1]
			}
			return nil
		}
		if found := grow(0, c.sp.all()); found != nil {
			return found
		}
	}
	return core
}

// closest are the worlds that fit the most answers. It leaves out one answer, then two, then three.
func (c *Calibration) closest(truth []worlds) (near worlds, missing int, apart [][]int) {
	for missing = 1; missing <= 3; missing++ {
		var out []int
		var grow func(from int, w worlds)
		grow = func(i int, w worlds) {
			if w.empty() || len(truth)-i < missing-len(out) {
				return
			}
			if i == len(truth) {
				if near.space == nil {
					near = w
				} else {
					near = near.or(w)
				}
				apart = append(apart, append([]int{}, out...))
				return
			}
			grow(i+1, w.and(truth[i]))
			if len(out) < missing {
				out = append(out, i)
				grow(i+1, w)
				out = out[:len(out)-1]
			}
		}
		grow(0, c.sp.all())
		if apart != nil {
			return near, missing, apart
		}
	}
	return near, 0, nil
}
