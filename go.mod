module pulsewright

go 1.26.0

require (
	github.com/chzyer/readline v1.5.1
	github.com/creack/pty v1.1.24
	github.com/fatih/color v1.19.0
	github.com/google/go-cmp v0.7.0
	github.com/mattn/go-runewidth v0.0.31
	github.com/rogpeppe/go-internal v1.16.0
	github.com/spf13/cobra v1.10.2
	github.com/spf13/pflag v1.0.9
	go.starlark.net v0.0.0-20260908191801-89a6a09411d5
	golang.org/x/sync v0.25.0
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.48.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/clipperhouse/uax29/v2 v2.2.0 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/mattn/go-colorable v0.1.14 // indirect
	github.com/mattn/go-isatty v0.0.20 // indirect
	golang.org/x/tools v0.30.0 // indirect
)
