package kinds

// The columns of the table of kinds, which stands in kind.go.

// Hears is how a kind of part hears news.
type Hears uint8

const (
	HearsNot    Hears = iota
	HearsLazily       // hearing can do no more than queue an act
	HearsAtOnce       // it may react at once
	HearsBehind       // at once, but told by its back, by cords and by a nudge only
)

// Pads are the neighbours that a kind of part reads, unless others are given.
type Pads uint8

const (
	NoPads    Pads = iota
	BackPad        // its back
	SidePads       // the four that are neither its front nor its back
	RearPads       // the five that are not its front
	AroundPad      // all six
)

// FarPad is where a kind of part has its far pad, two cells away.
type FarPad uint8

const (
	NoFar   FarPad = iota
	FarBack        // behind its back
	FarDown        // two cells down, -z
)

// Feeding is what a kind of part feeds while it is on.
type Feeding uint8

const (
	FeedsNothing Feeding = iota
	FeedsAround          // its six neighbours
	FeedsFront           // the cell in front
)

// Shows is what changes in a kind of part as people see it.
type Shows uint8

const (
	ShowsState  Shows = iota // one of two states: State.On
	ShowsAlways              // nothing: it is on for ever
	ShowsLevel               // a level
	ShowsToken               // whether it holds a token; it has room for one
	ShowsTokens              // how many tokens it holds
	ShowsBusy                // whether its timer is set
)

// Holds reports whether such a part is a holder of tokens.
func (s Shows) Holds() bool { return s == ShowsToken || s == ShowsTokens }

// Pulses reports whether such a part goes on and off, or has a level that does.
func (s Shows) Pulses() bool { return s == ShowsState || s == ShowsLevel }

// Trait is what all parts of a kind have in common.
type Trait struct {
	Name     string
	Faces    bool    // it has a facing
	Hears    Hears   // how news reaches it
	Pads     Pads    // the neighbours it reads
	Given    bool    // a script may give other pads
	Far      FarPad  // its far pad; nothing is heard there
	Feeds    Feeding // a conductor feeds through its level, not so
	Conducts bool    // while no slug opens it
	Tells    bool    // its changes tell its neighbours; a bucket's only those who watch its tokens
	CordFrom bool    // a cord may start there: it has a state to read
	CordTo   bool    // a cord may end there: it hears or conducts
	Arms     bool    // what it reads can call for another state than it has, and then it is armed
	Timed    bool    // it takes ticks
	Usual    int     // how many unless told otherwise; 0: it can do without, others take 1 at least
	Shows    Shows   // what changes in it
	Down     bool    // what it does goes down, -z of the world, however it faces
	Words    [2]What // its events for going to its first state and to its second; both 0 if it has none of its own
}

// Mask is the neighbours that are pads, a bit for each direction.
func (p Pads) Mask(facing Dir) uint8 {
	front, back := uint8(1)<<facing, uint8(1)<<facing.Opposite()
	switch p {
	case BackPad:
		return back
	case SidePads:
		return 63 &^ front &^ back
	case RearPads:
		return 63 &^ front
	case AroundPad:
		return 63
	}
	return 0
}

// Dir is the direction of the far pad of a part that faces so.
func (f FarPad) Dir(facing Dir) Dir {
	if f == FarDown {
		return NegZ
	}
	return facing.Opposite()
}
