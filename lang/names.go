package lang

import (
	"maps"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
)

// names are the names of a session: its own on top of the builtins.
type names struct {
	base starlark.StringDict // builtins and the language's own
	live starlark.StringDict // what a script sees; functions hold on to this very map
	own  map[string]bool     // those the session has bound
}

func newNames(base starlark.StringDict) *names {
	n := &names{base: base, live: maps.Clone(base), own: map[string]bool{}}
	n.live[storeName] = store{n}
	return n
}

func (n *names) set(name string, v starlark.Value) {
	n.live[name] = v
	if name != shownName {
		n.own[name] = true
	}
}

// values gives what its own names mean.
func (n *names) values(yield func(starlark.Value) bool) {
	for name := range n.own {
		if v := n.live[name]; v != nil && !yield(v) {
			return
		}
	}
}

// told are the functions and kinds among its own.
func (n *names) told() starlark.StringDict {
	told := starlark.StringDict{}
	for name := range n.own {
		switch v := n.live[name].(type) {
		case *starlark.Function, *builtins.OwnKind:
			told[name] = v
		}
	}
	return told
}

// visible lists the names a script can use, sorted.
func (n *names) visible() []string {
	var list []string
	for name := range n.live {
		if !strings.HasPrefix(name, hidden) {
			list = append(list, name)
		}
	}
	slices.Sort(list)
	return list
}

// maxKept is how many elements of lists, dicts and sets a record keeps. Past it those
// not yet kept are left as they are when the record is put back.
const maxKept = 2_000_000

// record is the session's names at one moment, with what was in their lists, dicts and
// sets, since a script changes those in place.
type record struct {
	own   starlark.StringDict
	lists map[*starlark.List][]starlark.Value
	dicts map[*starlark.Dict][]starlark.Tuple
	sets  map[*starlark.Set][]starlark.Value
	other map[builtins.Changing]any // values of ours that change, and where they stood
	kept  int                       // elements kept
	part  bool                      // more than maxKept
}

// size is about how many bytes the record keeps alive by itself.
func (r *record) size() int {
	return 64*len(r.own) + 64*(len(r.lists)+len(r.dicts)+len(r.sets)) + 24*r.kept
}

func (n *names) record() *record {
	r := &record{
		own:   make(starlark.StringDict, len(n.own)),
		lists: map[*starlark.List][]starlark.Value{},
		dicts: map[*starlark.Dict][]starlark.Tuple{},
		sets:  map[*starlark.Set][]starlark.Value{},
		other: map[builtins.Changing]any{},
	}
	for name := range n.own {
		r.own[name] = n.live[name]
	}
	w := keeper{record: r, seen: map[any]bool{}}
	for _, v := range r.own {
		w.todo = append(w.todo, v)
	}
	for len(w.todo) > 0 {
		v := w.todo[len(w.todo)-1]
		w.todo = w.todo[:len(w.todo)-1]
		if !w.keep(v) {
			w.pass(v)
		}
	}
	return r
}

// keeper walks over the values that names lead to.
type keeper struct {
	*record
	seen map[any]bool // functions, structs and tuples
	todo []starlark.Value
}

// room reports whether k elements more can be kept, and counts them.
func (w *keeper) room(k int) bool {
	if w.kept+k > maxKept {
		w.part = true
		return false
	}
	w.kept += k + 1
	return true
}

// keep writes down what is in a list, dict, set or another value that changes, once. It reports whether the value is one.
func (w *keeper) keep(v starlark.Value) bool {
	switch v := v.(type) {
	case *starlark.List:
		if _, ok := w.lists[v]; ok || !w.room(v.Len()) {
			return true
		}
		elems := make([]starlark.Value, v.Len())
		for i := range elems {
			elems[i] = v.Index(i)
		}
		w.lists[v] = elems
		w.todo = pending(w.todo, elems)
	case *starlark.Dict:
		if _, ok := w.dicts[v]; ok || !w.room(v.Len()) {
			return true
		}
		items := v.Items()
		w.dicts[v] = items
		for _, kv := range items {
			w.todo = pending(w.todo, kv)
		}
	case *starlark.Set:
		if _, ok := w.sets[v]; ok || !w.room(v.Len()) {
			return true
		}
		elems := make([]starlark.Value, 0, v.Len())
		iter := v.Iterate()
		for x := starlark.Value(nil); iter.Next(&x); {
			elems = append(elems, x)
		}
		iter.Done()
		w.sets[v] = elems // hashable, so nothing below them changes
	case builtins.Changing:
		w.other[v] = v.Stand()
	default:
		return false
	}
	return true
}

// pass goes through a value that does not change itself, to those it holds.
func (w *keeper) pass(v starlark.Value) {
	switch v := v.(type) {
	case starlark.Tuple:
		if len(v) > 0 && !w.seen[&v[0]] {
			w.seen[&v[0]] = true
			w.todo = pending(w.todo, v)
		}
	case *starlark.Function:
		if w.seen[v] {
			return
		}
		w.seen[v] = true
		for i := range v.NumParams() {
			if d := v.ParamDefault(i); d != nil {
				w.todo = append(w.todo, d)
			}
		}
		for i := range v.NumFreeVars() {
			if _, x := v.FreeVar(i); x != nil {
				w.todo = append(w.todo, x)
			}
		}
	case *starlark.Builtin: // xs.append, kept
		if r := v.Receiver(); r != nil {
			w.todo = append(w.todo, r)
		}
	case starlark.HasAttrs:
		if v.Type() == "struct" && !w.seen[v] {
			w.seen[v] = true
			for _, a := range v.AttrNames() {
				if x, err := v.Attr(a); err == nil && x != nil {
					w.todo = append(w.todo, x)
				}
			}
		}
	}
}

// equal reports whether two records hold the same names and contents. _ does not count.
func (r *record) equal(o *record) bool {
	own := func(m starlark.StringDict) int {
		if _, ok := m["_"]; ok {
			return len(m) - 1
		}
		return len(m)
	}
	if own(r.own) != own(o.own) {
		return false
	}
	for name, v := range r.own {
		if w, ok := o.own[name]; name != "_" && (!ok || !identical(v, w)) {
			return false
		}
	}
	for l, elems := range r.lists {
		if old, ok := o.lists[l]; ok && !slices.EqualFunc(elems, old, identical) {
			return false
		}
	}
	for d, items := range r.dicts {
		old, ok := o.dicts[d]
		if ok && !slices.EqualFunc(items, old, func(a, b starlark.Tuple) bool { return identical(a[0], b[0]) && identical(a[1], b[1]) }) {
			return false
		}
	}
	for s, elems := range r.sets {
		if old, ok := o.sets[s]; ok && !slices.EqualFunc(elems, old, identical) {
			return false
		}
	}
	for v, stand := range r.other {
		if old, ok := o.other[v]; ok && stand != old {
			return false
		}
	}
	return true
}

// pending adds to todo those values that may hold something that changes.
func pending[S ~[]starlark.Value](todo []starlark.Value, vs S) []starlark.Value {
	for _, v := range vs {
		t, ok := v.(starlark.Tuple)
		if ok && !slices.ContainsFunc(t, changes) || !ok && !changes(v) { // of a list of cells, none is kept in mind
			continue
		}
		todo = append(todo, v)
	}
	return todo
}

// changes reports whether a value may change, or hold one that does.
func changes(v starlark.Value) bool { return !hold.Plain(v) }

// restore puts the names and the contents of their lists, dicts and sets back.
func (n *names) restore(r *record) {
	for name := range n.own {
		if _, ok := r.own[name]; ok {
			continue
		}
		if b, ok := n.base[name]; ok {
			n.live[name] = b
		} else {
			delete(n.live, name)
		}
		delete(n.own, name)
	}
	for name, v := range r.own {
		n.live[name] = v
		n.own[name] = true
	}
	// Frozen ones cannot have changed, and say so by an error that is no news.
	for l, elems := range r.lists {
		if same(l, elems) || l.Clear() != nil {
			continue
		}
		for _, v := range elems {
			l.Append(v)
		}
	}
	for d, items := range r.dicts {
		if d.Clear() != nil {
			continue
		}
		for _, kv := range items {
			d.SetKey(kv[0], kv[1])
		}
	}
	for s, elems := range r.sets {
		if s.Clear() != nil {
			continue
		}
		for _, v := range elems {
			s.Insert(v)
		}
	}
	for v, stand := range r.other {
		if v.Stand() != stand {
			v.Return(stand)
		}
	}
}

func same(l *starlark.List, elems []starlark.Value) bool {
	if l.Len() != len(elems) {
		return false
	}
	for i, v := range elems {
		if !identical(l.Index(i), v) {
			return false
		}
	}
	return true
}

// identical compares without looking into the values; false is always safe.
func identical(a, b starlark.Value) bool {
	if t, ok := a.(starlark.Tuple); ok {
		u, ok := b.(starlark.Tuple)
		return ok && len(t) == len(u) && (len(t) == 0 || &t[0] == &u[0])
	}
	defer func() { _ = recover() }() // a kind of value that cannot be compared
	return a == b
}
