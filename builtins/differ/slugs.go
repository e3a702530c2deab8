package differ

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"pulsewright/engine"
)

// looseSlugs are those that lay somewhere before the first turn, by their cells, seen from the frame.
func (s *side) looseSlugs(poses map[engine.ID]engine.State) map[engine.Cell]engine.Slug {
	all := map[engine.Cell]engine.Slug{}
	for id, state := range poses {
		if state.Loose {
			all[s.frame.Local(s.bench.Thing(id).Cell)] = state.Seated
		}
	}
	return all
}

// otherSlugs lists those that lie in one side alone, and the cells in which others lie.
func otherSlugs(a, b map[engine.Cell]engine.Slug) (all []unlike) {
	cells := maps.Clone(a)
	maps.Copy(cells, b)
	for _, at := range slices.SortedFunc(maps.Keys(cells), func(c, d engine.Cell) int {
		return cmp.Or(cmp.Compare(c.X, d.X), cmp.Compare(c.Y, d.Y), cmp.Compare(c.Z, d.Z))
	}) {
		in, other := a[at], b[at]
		switch {
		case in == other:
		case other == engine.NoSlug:
			all = append(all, unlike{who: fmt.Sprintf("loose %v at %v", in, at), what: "placed", a: in.String()})
		case in == engine.NoSlug:
			all = append(all, unlike{who: fmt.Sprintf("loose %v at %v", other, at), what: "placed", b: other.String()})
		default:
			all = append(all, unlike{who: fmt.Sprintf("loose slug at %v", at), what: "slug", a: in.String(), b: other.String(),
				text: fmt.Sprintf("loose slug at %v: %v in a, %v in b", at, in, other)})
		}
	}
	return all
}
