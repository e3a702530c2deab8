package keep

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"
)

// SaveSketch writes the bench as it stands as a script: its rules, and a sketch of it. run runs a script in a session of its own. What waits
// to happen cannot be drawn: it is refused unless the script sets it as well.
func SaveSketch(e *builtins.Env, path string, over builtins.Over, run func(name, script string) (*engine.Bench, error)) (string, error) {
	body, err := sketched(e)
	if err != nil {
		return "", err
	}
	const instead = "; run() until it is at rest, or save the commands, without sketch=True"
	again, err := run(path, body)
	if text := waits(e.Bench, again); text != "" {
		return "", fmt.Errorf("the bench is not at rest at %v: %s; a sketch cannot hold that%s", e.Bench.Now(), text, instead)
	}
	if err != nil {
		return "", fmt.Errorf("the bench cannot be placed as it stands: %w%s", err, instead)
	}
	if id := unlike(e.Bench, again); id != 0 {
		return "", fmt.Errorf("%s has gone through what a sketch cannot hold%s", builtins.Describe(e.Bench, id), instead)
	}
	if _, err := e.WriteFile(path, over, func(w io.Writer) error {
		_, err := io.WriteString(w, body)
		return err
	}); err != nil {
		return "", err
	}
	return fmt.Sprintf("wrote %s: a sketch of %s, posed as they stand", filepath.ToSlash(filepath.Clean(path)), say.Count(e.Bench.Len(), "part")), nil
}

// sketched is a script that places the bench.
func sketched(e *builtins.Env) (string, error) {
	text, err := picture.MapText(e)
	if err != nil {
		return "", err
	}
	rules, kinds := "", ""
	if r := e.Bench.Rules(); r != engine.DefaultRules() {
		rules = builtins.Rules{Rules: r}.String() + "\n"
	}
	var own []starlark.Value // kinds of a script's own
	for id := range e.Bench.Parts() {
		if k := builtins.OwnKindOf(e.Bench, id); k != nil && !slices.Contains(own, starlark.Value(k)) {
			own = append(own, k)
		}
	}
	if own != nil {
		told, list, err := trial.WrittenAs(e, "", starlark.NewList(own))
		if err != nil {
			return "", fmt.Errorf("the bench cannot be placed as it stands: %w", err)
		}
		rules, kinds = told+rules, ", kinds="+list
	}
	return "# A bench of a pulsewright session.\n" + rules + "sketch(r\"\"\"\n" + text + "\n\"\"\"" + kinds + ")\n", nil
}

// unlike finds a part that is not as its like on the bench that was placed, such as a oneshot that has fired and waits for its input to go: the
// one that is placed is ready.
func unlike(b, again *engine.Bench) engine.ID {
	for id := range b.Parts() {
		like, ok := again.Lookup(b.Name(id))
		if at, onLattice := b.CellOf(id); onLattice {
			like, ok = again.PartAt(at)
		}
		if ok && again.State(like) != b.State(id) {
			return id
		}
	}
	return 0
}

// waits says what is to come on a bench and not, in as many ticks, on one that was placed as it stands; "" if there is nothing.
func waits(b, again *engine.Bench) string {
	var placed []engine.Coming
	if again != nil {
		placed = again.ToCome()
	}
	text, more := "", 0
	for _, c := range b.ToCome() {
		same := func(p engine.Coming) bool {
			return p.Text == c.Text && p.Given == c.Given && p.Tick-again.Now().Tick == c.Tick-b.Now().Tick
		}
		if i := slices.IndexFunc(placed, same); i >= 0 {
			placed = slices.Delete(placed, i, i+1)
			continue
		}
		switch {
		case text == "":
			text = fmt.Sprintf("%s in tick %d", c.Text, c.Tick)
		case more < 2:
			text += fmt.Sprintf(", %s in tick %d", c.Text, c.Tick)
			more++
		default:
			return text + " and more"
		}
	}
	return text
}
