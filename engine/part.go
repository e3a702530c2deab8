package engine

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
	Grip   Grip // shuttle without a slug: moves loose ones
	LetGo  bool // shuttle with a grip: told in transit, it can let go
	Travel int  // shuttle: ticks its slug is in transit; 0: as the rule says
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
