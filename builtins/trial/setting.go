package trial

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Setting is under what a trial runs: the rules of its bench, how its frame lies, how a fired pulse falls unless the script says.
type Setting struct {
	Rules  engine.Rules
	Late   bool
	At     engine.Cell `json:",omitzero"` // where the frame stands
	X, Y   engine.Dir  // where the frame's +x and +y point
	Mirror bool
}

// PlainSetting is how a design runs when nothing is said.
func PlainSetting(r engine.Rules) Setting { return Setting{Rules: r, X: engine.PosX, Y: engine.PosY} }

func (s Setting) Frame() *builtins.Frame {
	z := builtins.Cross(s.X, s.Y)
	if s.Mirror {
		z = z.Opposite()
	}
	return &builtins.Frame{At: s.At, Axes: [3]engine.Dir{s.X, s.Y, z}, Mirror: s.Mirror}
}

func (s Setting) Fall() string {
	if s.Late {
		return "late"
	}
	return "early"
}

// String names all but the order.
func (s Setting) String() string {
	return fmt.Sprintf("news=%q, reads=%q, travel=%d, fall=%q", builtins.NewsNames[s.Rules.News], builtins.ReadsNames[s.Rules.Reads], s.Rules.Travel, s.Fall())
}

// SettingNames are the names of what Set changes.
var SettingNames = []string{"order", "news", "reads", "travel", "reach", "run", "fall"}

// Set changes one thing of a setting, as a script writes it.
func (s *Setting) Set(name string, v starlark.Value) error {
	number := func(to *int, least, most int) error {
		n, err := starlark.AsInt32(v)
		if err != nil || n < least || n > most {
			return fmt.Errorf("%s: got %s, want a number from %d to %d", name, builtins.Show(v), least, most)
		}
		*to = n
		return nil
	}
	choice := func(names []string) (int, error) {
		w, _ := starlark.AsString(v)
		if i := slices.Index(names, w); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("%s: got %s, want one of %s %s", name, builtins.Show(v), names[0], names[1])
	}
	switch name {
	case "news":
		i, err := choice(builtins.NewsNames)
		s.Rules.News = engine.News(i)
		return err
	case "reads":
		i, err := choice(builtins.ReadsNames)
		s.Rules.Reads = engine.Reads(i)
		return err
	case "fall":
		i, err := choice([]string{"early", "late"})
		s.Late = i == 1
		return err
	case "travel":
		return number(&s.Rules.Travel, 1, engine.MaxTravel)
	case "reach":
		return number(&s.Rules.Reach, 1, engine.MaxReach)
	case "run":
		return number(&s.Rules.Run, 0, engine.MaxRun)
	case "order":
		bad := builtins.OrderInto(&s.Rules, v)
		if bad != nil {
			return fmt.Errorf("order: for parameter order: got %s, want %s", builtins.Show(bad), builtins.WantOrder)
		}
		return nil
	}
	return fmt.Errorf("%q is nothing a design can be swept over, want one of n %s%s", name, builtins.Joined(SettingNames), say.DidYouMean(name, SettingNames))
}
