package lag

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// nearly is how many times larger than without the other counts an error must be for counts to be said nearly to rise together.
const nearly = 5

// short writes a number to four places that count.
func short(v float64) string {
	if v != 0 && math.Abs(v) >= 1e-4 && math.Abs(v) < 1e6 {
		return strconv.FormatFloat(v, 'f', max(0, 3-int(math.Floor(math.Log10(math.Abs(v))))), 64)
	}
	return strconv.FormatFloat(v, 'g', 4, 64)
}

// fitRow is what was found of one column.
type fitRow struct {
	name, what             string
	value, err, low, high  float64
	bounded, unsure, close bool
}

// rows say of each column its value and how sure it is. Errors and ranges are always those of the plain fit: one that is kept at 0 would
// make the others look surer than the timings make them. below are the counts that weigh less than 0 by the whole of their ranges:
// then what the ranges rest on is not so, and they say nothing of any column.
func (t *timed) rows(plain, best *fitted, kept []int) (rows []fitRow, below []string) {
	for i, name := range t.names() {
		r := fitRow{name: name, what: name, err: plain.errors[i]}
		if at := slices.Index(kept, i); at >= 0 {
			r.value, _ = best.coef[at].Float64()
		} else {
			r.bounded = true
		}
		v, _ := plain.coef[i].Float64()
		reach := r.err * student(len(t.y)-len(plain.coef))
		if r.bounded && v+reach <= 0 {
			below = append(below, name)
		}
		r.low, r.high = min(v-reach, r.value), max(v+reach, r.value)
		if name != "the base" {
			r.what = say.Article(counts[numbered(name)].one)
			r.unsure = r.low <= 0
			r.low = max(r.low, 0)
		}
		r.close = plain.inflate[i] >= nearly && (!t.base || i > 0)
		rows = append(rows, r)
	}
	return rows, below
}

// cells are the row of the table: its value, error and range. sure is false if it has neither of these two.
func (r *fitRow) cells(sure bool) []starlark.Value {
	err, within := "-", "-"
	switch {
	case r.bounded && sure:
		within = "at the bound, up to " + short(r.high)
	case r.bounded:
		within = "at the bound"
	case sure:
		err, within = short(r.err), short(r.low)+" to "+short(r.high)
	}
	return []starlark.Value{starlark.String(r.what), starlark.String(short(r.value)), starlark.String(err), starlark.String(within)}
}

func (t *timed) report(plain, best *fitted, kept []int) *builtins.Report {
	rows, below := t.rows(plain, best, kept)
	sure := len(below) == 0
	number := func(v float64, known bool) starlark.Value {
		if !known {
			return starlark.None
		}
		return starlark.Float(v)
	}
	spare := len(t.y) - len(plain.coef)
	spread := root(new(big.Rat).Quo(best.rss, big.NewRat(int64(spare), 1)))
	table := &builtins.Table{Head: []string{"", t.unit, "error", "19 times in 20"}, Align: []string{"left", "right", "right", "left"}}
	weights, errs, low, high := starlark.NewDict(8), starlark.NewDict(8), starlark.NewDict(8), starlark.NewDict(8)
	var unsure, near, bounded []string
	base, baseErr := starlark.Value(starlark.None), starlark.Value(starlark.None)
	for _, r := range rows {
		table.Rows = append(table.Rows, r.cells(sure))
		if r.name == "the base" {
			base, baseErr = starlark.Float(r.value), number(r.err, sure)
			continue
		}
		name := starlark.String(r.name)
		weights.SetKey(name, starlark.Float(r.value))
		errs.SetKey(name, number(r.err, sure && !r.bounded))
		low.SetKey(name, number(r.low, sure))
		high.SetKey(name, number(r.high, sure))
		for _, l := range []struct {
			is bool
			to *[]string
		}{{r.unsure, &unsure}, {r.close, &near}, {r.bounded, &bounded}} {
			if l.is {
				*l.to = append(*l.to, r.name)
			}
		}
	}
	lines := append([]string{table.String()}, t.notes(best, spare, spread, below, unsure, near, bounded)...)
	var misfits []starlark.Value
	for _, d := range best.left {
		misfits = append(misfits, Value(d))
	}
	strs := func(some []string) *starlark.List {
		var l []starlark.Value
		for _, s := range some {
			l = append(l, starlark.String(s))
		}
		return starlark.NewList(l)
	}
	f := starlark.StringDict{"weights": weights, "errors": errs, "low": low, "high": high, "base": base, "base_error": baseErr, "spread": starlark.Float(spread),
		"misfits": starlark.NewList(misfits), "unsure": strs(unsure), "near": strs(near), "bounded": strs(bounded), "timings": starlark.MakeInt(len(t.y)), "spare": starlark.MakeInt(spare)}
	hold.FreezeAll(f)
	return &builtins.Report{Name: fitName, Text: strings.Join(lines, "\n"), Fields: f}
}

// notes are the lines below the table.
func (t *timed) notes(best *fitted, spare int, spread float64, below, unsure, near, bounded []string) (lines []string) {
	off := "all lie exactly on the fit, which timings that were taken hardly do"
	if best.rss.Sign() != 0 {
		off = fmt.Sprintf("a timing lies about %s %s off the fit, row %d the most", short(spread), t.unit, t.worst(best)+1)
	}
	lines = append(lines, fmt.Sprintf("from %s, %s of them to spare; %s", say.Count(len(t.y), "timing"), strconv.Itoa(spare), off))
	note := func(some []string, text string) {
		if len(some) > 0 {
			lines = append(lines, together(some, "and")+": "+text)
		}
	}
	if len(below) > 0 {
		note(bounded, "at the bound: kept from going below 0")
		note(below, "these timings call for a weight below 0, by more than 19 times in 20 they would err; something without a weight here goes into them, or a timing is wrong, so no errors and ranges are given")
	} else {
		lines = append(lines, "error: standard error, if timings err independently and alike; 19 times in 20 the weight lies in the range")
		note(bounded, "at the bound: kept from going below 0; all errors and ranges are those of the fit that lets it")
		note(unsure, "the weight may be 0, as far as these timings tell")
	}
	note(near, fmt.Sprintf("nearly in step with the other counts, which makes the error %d times what it could be, or more; time rigs in which that is not so", nearly))
	return lines
}

// worst is the row that the fit misses by the most.
func (t *timed) worst(f *fitted) (row int) {
	for i, d := range f.left {
		a, _ := d.Float64()
		b, _ := f.left[row].Float64()
		if math.Abs(a) > math.Abs(b) {
			row = i
		}
	}
	return row
}
