// Package source is a text of the language by itself: how it is read, where in it a position lies, and which names its statements bind.
// It knows no session. It may use nothing of ours.
package source

import "go.starlark.net/syntax"

// Dialect is the one place where the language's options are chosen.
// Loaded names are globals, since the statements of a program run one by one (see toplevel.go of lang).
var Dialect = &syntax.FileOptions{
	Set:               true,
	While:             true,
	TopLevelControl:   true,
	GlobalReassign:    true,
	Recursion:         true, // the interpreter stops at a depth of 100,000 with an error
	LoadBindsGlobally: true,
}

// ModuleDialect is Dialect for files that are loaded: what they load themselves stays theirs.
var ModuleDialect = func() *syntax.FileOptions {
	o := *Dialect
	o.LoadBindsGlobally = false
	return &o
}()
