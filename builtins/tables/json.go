package tables

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
)

// objects reads objects into rows; a column is where its head comes first.
type objects struct {
	*text
	dec *json.Decoder
	t   *builtins.Table
	at  map[string]int
}

func (x *text) objects() *objects {
	o := &objects{text: x, dec: json.NewDecoder(strings.NewReader(x.all)), t: &builtins.Table{}, at: map[string]int{}}
	o.dec.UseNumber()
	return o
}

// readJSON reads a list of objects, one a row.
func readJSON(x *text) (*builtins.Table, error) {
	o := x.objects()
	if tok, err := o.dec.Token(); err != nil || tok != json.Delim('[') {
		return nil, o.wrong(err, "want a list of objects, one a row")
	}
	for o.dec.More() {
		if err := o.row(); err != nil {
			return nil, err
		}
	}
	if _, err := o.dec.Token(); err != nil {
		return nil, o.wrong(err, "")
	}
	return o.end()
}

// readLines reads JSON Lines: one object a line.
func readLines(x *text) (*builtins.Table, error) {
	o := x.objects()
	for o.dec.More() {
		if err := o.row(); err != nil {
			return nil, err
		}
	}
	return o.end()
}

func (o *objects) end() (*builtins.Table, error) {
	if _, err := o.dec.Token(); !errors.Is(err, io.EOF) {
		return nil, o.wrong(err, "want nothing behind the list")
	}
	for i, r := range o.t.Rows {
		for len(r) < len(o.t.Head) {
			r = append(r, starlark.None)
		}
		o.t.Rows[i] = r
	}
	return o.t, nil
}

// wrong is what is wrong at the place that was read last.
func (o *objects) wrong(err error, want string) error {
	at := int(o.dec.InputOffset())
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax): // its own offset counts from where the value begins, or not
		at += len(o.all[at:]) - len(strings.TrimLeft(o.all[at:], " \t\r\n:,"))
		return o.bad(at, "this is no JSON: %v", err)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return o.bad(len(o.all), "the file ends too early; %s", orMore(want))
	case err != nil:
		return o.bad(at, "%v", err)
	}
	return o.bad(max(at-1, 0), "%s", want)
}

func orMore(want string) string {
	if want == "" {
		return "want the rest of it"
	}
	return want
}

func (o *objects) row() error {
	if err := o.env.StoppedAt(len(o.t.Rows)); err != nil {
		return err
	}
	if tok, err := o.dec.Token(); err != nil || tok != json.Delim('{') {
		return o.wrong(err, "want an object, from heads to values, for each row")
	}
	row := make([]starlark.Value, len(o.t.Head))
	for i := range row {
		row[i] = starlark.None
	}
	var seen []bool
	for o.dec.More() {
		tok, err := o.dec.Token()
		head, ok := tok.(string)
		if err != nil || !ok {
			return o.wrong(err, "want a head in quotes")
		}
		i, known := o.at[head]
		if !known {
			i = len(o.t.Head)
			o.at[head] = i
			o.t.Head = append(o.t.Head, head)
			row = append(row, starlark.None)
		}
		seen = slices.Grow(seen, max(i+1-len(seen), 0))[:max(i+1, len(seen))]
		if seen[i] {
			return o.wrong(nil, fmt.Sprintf("the head %s twice in a row, want each once", builtins.Show(starlark.String(head))))
		}
		seen[i] = true
		if row[i], err = o.value(0); err != nil {
			return err
		}
	}
	if _, err := o.dec.Token(); err != nil {
		return o.wrong(err, "")
	}
	o.t.Rows = append(o.t.Rows, row)
	return nil
}

// value reads one value, in so many lists.
func (o *objects) value(deep int) (starlark.Value, error) {
	tok, err := o.dec.Token()
	if err != nil {
		return nil, o.wrong(err, "")
	}
	switch tok := tok.(type) {
	case nil:
		return starlark.None, nil
	case bool:
		return starlark.Bool(tok), nil
	case string:
		return starlark.String(tok), nil
	case json.Number:
		if n, ok := new(big.Int).SetString(string(tok), 10); ok {
			return starlark.MakeBigInt(n), nil
		}
		f, err := strconv.ParseFloat(string(tok), 64)
		if err != nil {
			return nil, o.wrong(nil, "a number that is too large, want one up to 1.8e308")
		}
		return starlark.Float(f), nil
	}
	if tok != json.Delim('[') || deep >= hold.Deepest {
		return nil, o.wrong(nil, fmt.Sprintf("want a number, a text, true, false, null or a list of them, lists at most %d deep", hold.Deepest))
	}
	list := []starlark.Value{}
	for o.dec.More() {
		v, err := o.value(deep + 1)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	if _, err := o.dec.Token(); err != nil {
		return nil, o.wrong(err, "")
	}
	return starlark.NewList(list), nil
}
