package engine

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

// Part says what to place. Only the fields of its kind are read; the zero value of the
// others is the default.
type Part struct {
	Kind   Kind
	Spec   *Spec // the kind, if it is a told one
	Facing Dir
	Name   string

	Pads   []Cell // cells read, as offsets from the part; nil means the kind's own
	Far    Dir    // direction of the far pad, if FarSet; else the kind's own
	FarSet bool

	On     bool // pose: kinds that go on and off, or are lit
	Out    bool // pose: link, shuttle
	Tokens int  // pose: bucket (0 or 1), tray
	Level  int  // pose: meter
	State  int  // pose: a part of a told kind, by number

	Slug   Slug // shuttle
	Op     Op   // gate
	Mode   Mode // delay
	Ticks  int  // kinds that take ticks; 0: as usual, of a gate one step
	Reject int  // inertial delay, in ticks; 0: the same as Ticks
	Hold   int  // key: ticks it stays on; 0: until released
	Drop   int  // bucket: ticks before a token drops; 0: 1
	Room   int  // tray: how many tokens it takes; 0: 1
	Keep   int  // tray: ticks after which a token is consumed; 0: never
}

// ID names a part, or a bare cell that matters, for good: an ID is never given twice on one bench. 0 is no part.
type ID uint32

// Cord says what a patch cord carries.
type Cord struct {
	Power, News bool
	Invert      bool // read the other way round
}
