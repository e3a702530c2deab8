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
	Watch   []watched        // the watch list
	World   Worldly          // that the bench was made in; nil: none
}

// Same reports whether two notes say the same.
func (n Notes) Same(o Notes) bool {
	return n.Log == o.Log && n.Random == o.Random && n.Late == o.Late && slices.Equal(n.Designs, o.Designs) && slices.Equal(n.Watch, o.Watch) && n.World == o.World
}
