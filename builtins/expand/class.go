package expand

import (
	"go.starlark.net/starlark"
)

// Numbers are shown class by class. Where a period more brings no more of them, each is a class of its own, and it must stay: slices are
// put in, and all goes on as the argument of induction.go has it. Where it brings m numbers more, every m-th number is a class. Its first ones stay,
// as slices are put in behind their own slice; its last ones grow, as slices are put in before it. If one of them does both, and all
// before it stay, and all behind it grow, then every number of the class in a machine so many periods larger is one of these, with slices put in so
// many times before and so many times behind. This for as many sizes in a row as a period has, and the class is shown.

// class is the numbers that are shown together.
type class struct {
	streak, from int // it holds for so many sizes in a row, from one on
	overlap      int // slices that repeat in each of its runs, at least
	shown        bool
}

// numberClasses are the numbers of a machine, which go on with its size.
type numberClasses struct {
	more, apart int // a period more brings so many numbers more, all larger by so much than as many before them; 0: the same numbers
	classes     []class
}

// classOf is the class of a number, by its place among those of a size.
func (c *numberClasses) classOf(nth int) *class {
	if c.more > 0 {
		nth %= c.more
	}
	return &c.classes[nth]
}

// open lists the places of those numbers, of so many, that are not shown yet.
func (c *numberClasses) open(many int) []int {
	var open []int
	for i := range many {
		if len(c.classes) == 0 || !c.classOf(i).shown {
			open = append(open, i)
		}
	}
	return open
}

// grow finds out how the numbers go on up to a size. ok is false if they do not.
func (x *expansion) grow(size int) (many int, ok bool, err error) {
	p := x.sizes
	var lists [3][]starlark.Value
	for i := range lists {
		if lists[i], err = x.numbersOf(size - (2-i)*p); err != nil {
			return 0, false, err
		}
	}
	more, apart := len(lists[1])-len(lists[0]), 0
	if more > 0 && len(lists[0]) > 0 {
		a, isInt := lists[0][len(lists[0])-1].(starlark.Int)
		b, both := lists[1][len(lists[1])-1].(starlark.Int)
		if isInt && both {
			apart, _ = starlark.AsInt32(b.Sub(a))
		}
	}
	classes := more
	if more == 0 {
		classes = len(lists[0])
	}
	other := x.more != more || x.apart != apart || len(x.classes) != classes
	if more < 0 || more > 0 && apart == 0 || other && x.partly > 0 || !goOn(lists[0], lists[1], more, apart) || !goOn(lists[1], lists[2], more, apart) {
		x.why = "the numbers do not grow evenly with the size"
		return 0, false, nil
	}
	if other {
		x.numberClasses = numberClasses{more: more, apart: apart, classes: make([]class, classes)}
	}
	return len(lists[2]), true, nil
}

// goOn reports whether numbers b are numbers a and so many more, the last ones those of a, larger by apart.
func goOn(a, b []starlark.Value, more, apart int) bool {
	if len(b) != len(a)+more {
		return false
	}
	for i, n := range a {
		if same, err := starlark.Equal(n, b[i]); err != nil || !same {
			return false
		}
		if more == 0 {
			continue
		}
		k, isInt := n.(starlark.Int)
		if !isInt {
			return false
		}
		if same, err := starlark.Equal(k.Add(starlark.MakeInt(apart)), b[i+more]); err != nil || !same {
			return false
		}
	}
	return true
}

// goOnTo reports whether numbers so many periods further out are those of a smaller size and as many times more that are larger.
func (c *numberClasses) goOnTo(small, far []starlark.Value, periods int) bool {
	if c.more == 0 {
		return goOn(small, far, 0, 0)
	}
	few := min(c.more, len(small))
	return len(far) == len(small)+periods*c.more && goOn(small[:few], far[:few], 0, 0) && goOn(far[:len(far)-c.more], far, c.more, c.apart)
}
