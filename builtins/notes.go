package builtins

import (
	"slices"

	"go.starlark.net/starlark"
)

// Notes is what words change beside the bench and the names of a session. It is a plain value, its lists are never
// changed in place: a session takes it down before each command and puts it back when the command fails or is undone.
type Notes struct {
	Log    *LogOptions // what the step log shows; nil: everything
	Random Random      // the generator
	Late   bool        // a fired pulse falls late where the script does not say

	Designs []starlark.Value // registered, for the experiments
	Watch   WatchList        // nil: nothing is watched
	World   Worldly          // that the bench was made in; nil: none
}

// WatchList is the parts and cells whose state is printed after time has passed.
type WatchList interface {
	Show(e *Env)
	Same(other WatchList) bool
}

func sameWatch(a, b WatchList) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Same(b)
}

// Same reports whether two notes say the same.
func (n Notes) Same(o Notes) bool {
	return n.Log == o.Log && n.Random == o.Random && n.Late == o.Late && slices.Equal(n.Designs, o.Designs) && sameWatch(n.Watch, o.Watch) && n.World == o.World
}
