package measure

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// align puts the figures of designs side by side, in the order in which they come.
func (cmp *comparison) align(all [][]figure) {
	at := map[string]int{}
	for _, fs := range all {
		for _, f := range fs {
			if _, ok := at[f.head()]; !ok {
				at[f.head()] = len(cmp.heads)
				cmp.heads = append(cmp.heads, f.head())
				cmp.cells = append(cmp.cells, make([]figure, len(all)))
			}
		}
	}
	for _, row := range cmp.cells {
		for k := range row {
			row[k] = figure{absent: true, how: "it has none"}
		}
	}
	for k, fs := range all {
		for _, f := range fs {
			cmp.cells[at[f.head()]][k] = f
		}
	}
	// What no design can have is no row.
	for i := len(cmp.heads) - 1; i >= 0; i-- {
		if !slices.ContainsFunc(cmp.cells[i], func(f figure) bool { return !f.absent }) {
			cmp.heads, cmp.cells = slices.Delete(cmp.heads, i, i+1), slices.Delete(cmp.cells, i, i+1)
		}
	}
}

// best are the designs that are best in a figure. Nobody is where all are equal, or where they cannot be compared.
func (cmp *comparison) best(i int) []bool {
	row := cmp.cells[i]
	marks := make([]bool, len(row))
	if cmp.unmarked(i) != "" {
		return marks
	}
	most, least := row[0].worth(), row[0].worth()
	for _, f := range row {
		if f.worth().Cmp(most) > 0 {
			most = f.worth()
		}
		if f.worth().Cmp(least) < 0 {
			least = f.worth()
		}
	}
	for k, f := range row {
		marks[k] = most.Cmp(least) != 0 && f.worth().Cmp(most) == 0
	}
	return marks
}

// worth is more for what is better.
func (f figure) worth() *big.Rat {
	w := f.exact
	if w == nil {
		w = big.NewRat(f.number, 1)
	}
	return new(big.Rat).Mul(w, big.NewRat(int64(f.better), 1))
}

// unmarked says why none of a row can be marked as the best; "" if one can.
func (cmp *comparison) unmarked(i int) string {
	row := cmp.cells[i]
	if len(row) < 2 || row[0].name == "size" {
		return ""
	}
	if cmp.unlike {
		return "the sizes are unlike"
	}
	for _, f := range row {
		switch {
		case f.value == "":
			return "not measured for all"
		case f.better == 0:
			return f.unranked
		}
	}
	var says []string
	for _, of := range []struct {
		what string
		get  func(basis) string
	}{
		{"numbers", func(b basis) string { return b.numbers }},
		{"", func(b basis) string { return b.sizes }},
		{"slices", func(b basis) string { return b.slices }},
		{"delays", func(b basis) string { return b.from }},
	} {
		if s := cmp.groups(row, of.what, of.get); s != "" {
			says = append(says, s)
		}
	}
	return strings.Join(says, "; ")
}

// groups says what is unlike among the designs in one thing, the designs that are alike together and the most of them not by
// name; "" if it is the same for all.
func (cmp *comparison) groups(row []figure, what string, get func(basis) string) string {
	var kinds []string
	of := map[string][]string{}
	for k, f := range row {
		kind := get(f.basis)
		if of[kind] == nil {
			kinds = append(kinds, kind)
		}
		of[kind] = append(of[kind], cmp.names[k])
	}
	if len(kinds) < 2 {
		return ""
	}
	usual := kinds[0]
	for _, kind := range kinds {
		if len(of[kind]) > len(of[usual]) {
			usual = kind
		}
	}
	var says []string
	for _, kind := range kinds {
		names := strings.Join(of[kind], ", ")
		if kind == usual && len(of[kind]) > 1 {
			names = "the others"
		}
		if kind == "" {
			kind = "not so"
		}
		says = append(says, fmt.Sprintf("%s (%s)", strings.TrimSpace(what+" "+kind), names))
	}
	return "unlike " + strings.Join(says, ", ")
}

// starred reports whether anything is marked as the best.
func (cmp *comparison) starred() bool {
	for i := range cmp.heads {
		if slices.Contains(cmp.best(i), true) {
			return true
		}
	}
	return false
}

// lawSizes says at which sizes it was found what a slice has and how a design grows: of others nothing is known.
func (cmp *comparison) lawSizes() (lines []string) {
	var all []string
	rows := map[string][]string{} // by sizes and design
	same := ""
	for k, name := range cmp.names {
		for i, head := range cmp.heads {
			f := cmp.cells[i][k]
			if f.law == "" || f.value == "" {
				continue
			}
			whose := ", of " + name + ": found at " + f.law
			if rows[whose] == nil {
				all = append(all, whose)
			}
			rows[whose] = append(rows[whose], head)
			switch same {
			case "", f.law:
				same = f.law
			default:
				same = "unlike"
			}
		}
	}
	const others = "; of other sizes nothing is known"
	switch same {
	case "":
		return nil
	case "unlike":
		for _, whose := range all {
			lines = append(lines, strings.Join(rows[whose], "; ")+whose+others)
		}
		return lines
	}
	return []string{"slices and growth: found at " + same + others}
}

// notes say what stands below the table: what the marks mean, why there is none, and what a figure needs said beside it.
func (cmp *comparison) notes() (lines []string) {
	gaps := false
	var reasons []string
	rows := map[string][]string{} // by reason
	note := func(reason, head string) {
		if rows[reason] == nil {
			reasons = append(reasons, reason)
		}
		rows[reason] = append(rows[reason], head)
	}
	if len(cmp.names) > 1 {
		lines = append(lines, "no * anywhere: where all were measured alike, they do not differ")
		if cmp.starred() {
			lines[0] = "* the best of its row, where all were measured alike and they differ"
		}
		for i, head := range cmp.heads {
			if why := cmp.unmarked(i); why != "" {
				note(why, head)
			}
		}
		for _, r := range reasons {
			if cmp.unlike {
				lines[0] = "no * anywhere: " + r
				break
			}
			lines = append(lines, fmt.Sprintf("no * in %s: %s", strings.Join(rows[r], "; "), r))
		}
		reasons, rows = nil, map[string][]string{}
	}
	for i, head := range cmp.heads {
		for k, f := range cmp.cells[i] {
			if f.value == "" {
				gaps = true
				note(cmp.names[k]+": "+f.how, head)
			}
		}
	}
	if gaps {
		lines = append(lines, "- could not be measured:")
		for _, r := range reasons {
			lines = append(lines, fmt.Sprintf("  %s, of %s", strings.Join(rows[r], "; "), r))
		}
	}
	lines = append(lines, cmp.lawSizes()...)
	for i, head := range cmp.heads {
		for k, f := range cmp.cells[i] {
			if f.value != "" && f.told {
				lines = append(lines, fmt.Sprintf("%s, of %s: %s", head, cmp.names[k], f.how))
			}
		}
	}
	if cmp.judged != nil {
		lines = append(lines, cmp.judged.Lines()...)
	}
	if cmp.noVerdict != "" {
		lines = append(lines, cmp.noVerdict)
	}
	return lines
}
