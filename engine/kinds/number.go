package kinds

// MaxTicks is the longest time, in ticks, that anything may last or be put off.
const MaxTicks = 1 << 30

// MaxReach is the highest level there may be.
const MaxReach = 1 << 30

// Slug is what a shuttle moves.
type Slug uint8

const (
	NoSlug Slug = iota
	Plug        // opens a jack it sits in
	Feed        // a battery where it sits
	Bridge      // a conductor where it sits
)

var slugNames = [...]string{"none", "plug", "feed", "bridge"}

func (s Slug) String() string { return slugNames[s] }

// ParseSlug reads the name of a slug.
func ParseSlug(s string) (Slug, bool) {
	for i, n := range slugNames {
		if n == s {
			return Slug(i), true
		}
	}
	return 0, false
}

// Grip is what a shuttle without a slug of its own does with loose ones.
type Grip uint8

const (
	NoGrip   Grip = iota
	Push          // going out, it takes one along from its near seat to its far seat
	PushBack      // and going home, one back
)

var gripNames = [...]string{"none", "push", "both"}

// String returns the word that scripts use.
func (g Grip) String() string { return gripNames[g] }

// ParseGrip reads the name of a grip.
func ParseGrip(s string) (Grip, bool) {
	for i, n := range gripNames {
		if n == s {
			return Grip(i), true
		}
	}
	return 0, false
}

// Op is what a gate computes.
type Op uint8

const (
	Buf Op = iota
	Not
	And
	Or
	Nand
	Nor
	Xor
	Xnor
	Maj   // more than half of the inputs live
	Hold  // on when all inputs are live, off when none is, else unchanged
	Latch // the first input sets, the second resets, set wins, else unchanged
)

var opNames = [...]string{"buf", "not", "and", "or", "nand", "nor", "xor", "xnor", "maj", "hold", "latch"}

func (o Op) String() string { return opNames[o] }

// ParseOp reads the name of what a gate computes.
func ParseOp(s string) (Op, bool) {
	for i, n := range opNames {
		if n == s {
			return Op(i), true
		}
	}
	return 0, false
}

// Ops lists what a gate can compute.
func Ops() []string { return opNames[:] }

// Mode is how a delay treats pulses shorter than its ticks.
type Mode uint8

const (
	Stretch   Mode = iota // each state of the output lasts at least the delay's ticks
	Transport             // every edge is repeated
	Inertial              // short pulses vanish
)

var modeNames = [...]string{"stretch", "transport", "inertial"}

func (m Mode) String() string { return modeNames[m] }

// ParseMode reads the name of a delay's mode.
func ParseMode(s string) (Mode, bool) {
	for i, n := range modeNames {
		if n == s {
			return Mode(i), true
		}
	}
	return 0, false
}
