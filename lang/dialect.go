package lang

import "go.starlark.net/syntax"

// dialect is the one place where the language's options are chosen.
// Loaded names are globals, since the statements of a program run one by one (see toplevel.go).
var dialect = &syntax.FileOptions{
	Set:               true,
	While:             true,
	TopLevelControl:   true,
	GlobalReassign:    true,
	Recursion:         true, // the interpreter stops at a depth of 100,000 with an error
	LoadBindsGlobally: true,
}

// moduleDialect is dialect for files that are loaded: what they load themselves stays theirs.
var moduleDialect = func() *syntax.FileOptions {
	o := *dialect
	o.LoadBindsGlobally = false
	return &o
}()
