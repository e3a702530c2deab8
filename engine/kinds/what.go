package kinds

// What is the word of an event.
type What uint8

// The words of the log.
const (
	Forced What = iota + 1
	Freed
	Nudged
	On
	Off
	Out
	Home
	Lapses
	Blocked
	Lands
	Live
	Dead
	Lit
	Dark
	Passes
	Drops
	Moves
	Consumes
	Level  // Arg is the new level
	Enters // a part of a told kind enters a state; Arg is its number, and ActiveState more if a cord from it reads on then
	whats
)

var whatNames = [whats]string{"", "forced", "freed", "nudged", "on", "off", "out", "home", "lapses", "blocked", "lands",
	"live", "dead", "lit", "dark", "passes", "drops", "moves", "consumes", "level", "enters"}

// String returns the word.
func (w What) String() string { return whatNames[w] }

// ParseWhat reads a word of the log.
func ParseWhat(s string) (What, bool) {
	for w := Forced; w < whats; w++ {
		if whatNames[w] == s {
			return w, true
		}
	}
	return 0, false
}

// ActiveState in the argument of Enters says that a cord from the part reads on.
const ActiveState = 1 << 8
