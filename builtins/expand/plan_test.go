package expand

import (
	"reflect"
	"testing"

	"pulsewright/engine"
)

// TestFingerprint changes each field of a part in turn: parts that differ in one only must not be taken for alike. So a field that is added to what a part
// is made of is not forgotten.
func TestFingerprint(t *testing.T) {
	print := func(p engine.Part, st engine.State) uint64 {
		return fingerprint(engine.Thing{Part: p}, engine.Cell{}, st)
	}
	plain := print(engine.Part{}, engine.State{})
	change := func(f reflect.Value) {
		switch f.Kind() {
		case reflect.Bool:
			f.SetBool(true)
		case reflect.String:
			f.SetString("quay")
		case reflect.Int, reflect.Int8, reflect.Int32, reflect.Int64:
			f.SetInt(1)
		case reflect.Uint, reflect.Uint8, reflect.Uint32, reflect.Uint64:
			f.SetUint(1)
		case reflect.Slice:
			f.Set(reflect.MakeSlice(f.Type(), 1, 1))
		case reflect.Pointer:
			f.Set(reflect.New(f.Type().Elem()))
		default:
			t.Fatalf("a field of kind %v: say here how to change it", f.Kind())
		}
	}
	for i := range reflect.TypeFor[engine.Part]().NumField() {
		var p engine.Part
		change(reflect.ValueOf(&p).Elem().Field(i))
		if print(p, engine.State{}) == plain {
			t.Errorf("parts that differ in %s are alike", reflect.TypeFor[engine.Part]().Field(i).Name)
		}
	}
	for i := range reflect.TypeFor[engine.State]().NumField() {
		var st engine.State
		change(reflect.ValueOf(&st).Elem().Field(i))
		if print(engine.Part{}, st) == plain {
			t.Errorf("states that differ in %s are alike", reflect.TypeFor[engine.State]().Field(i).Name)
		}
	}
	one := print(engine.Part{Pads: []engine.Cell{{X: 1}, {X: 2}}}, engine.State{})
	if one == print(engine.Part{Pads: []engine.Cell{{X: 2}, {X: 1}}}, engine.State{}) {
		t.Error("the order of pads counts")
	}
}
