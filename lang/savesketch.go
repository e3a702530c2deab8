package lang

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// saveSketch writes the bench as it stands as a script: its rules, and a sketch of it.
func (s *Session) saveSketch(path string, over builtins.Over) (string, error) {
	body, err := s.sketched()
	if err != nil {
		return "", err
	}
	// What waits to happen cannot be placed: the script says so itself.
	if err := Try(s.env.Context(), body); err != nil {
		return "", fmt.Errorf("the bench cannot be placed as it stands: %w", err)
	}
	if _, err := s.env.WriteFile(path, over, func(w io.Writer) error {
		_, err := io.WriteString(w, body)
		return err
	}); err != nil {
		return "", err
	}
	return fmt.Sprintf("wrote %s: a sketch of %s, posed as they stand", filepath.ToSlash(filepath.Clean(path)), say.Count(s.env.Bench.Len(), "part")), nil
}

// sketched is a script that places the bench.
func (s *Session) sketched() (string, error) {
	text, err := picture.MapText(s.env)
	if err != nil {
		return "", err
	}
	rules, kinds := "", ""
	if r := s.env.Bench.Rules(); r != engine.DefaultRules() {
		rules = builtins.Rules{Rules: r}.String() + "\n"
	}
	var own []starlark.Value // kinds of a script's own
	for id := range s.env.Bench.Parts() {
		if k := builtins.OwnKindOf(s.env.Bench, id); k != nil && !slices.Contains(own, starlark.Value(k)) {
			own = append(own, k)
		}
	}
	if own != nil {
		told, list, err := trial.WrittenAs(s.env, "", starlark.NewList(own))
		if err != nil {
			return "", fmt.Errorf("the bench cannot be placed as it stands: %w", err)
		}
		rules, kinds = told+rules, ", kinds="+list
	}
	return "# A bench of a pulsewright session.\n" + rules + "sketch(r\"\"\"\n" + text + "\n\"\"\"" + kinds + ")\n", nil
}
