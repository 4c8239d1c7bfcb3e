package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// newFlags is an empty set of flags that says nothing by itself.
func newFlags(name string) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// parse reads the flags of a call. A flag that is not given is taken from its
// variable in the environment. Where the call is at its end already, it
// returns the exit code and false.
func parse(fs *flag.FlagSet, c call, usage string) (int, bool) {
	err := fs.Parse(c.args)
	if errors.Is(err, flag.ErrHelp) {
		help(c.stdout, fs, usage)
		return exitOK, false
	}
	if err == nil {
		err = fromEnvironment(fs, c.env)
	}
	if err != nil {
		say(c.stderr, "wattkeel %s: %v%s\n\n", fs.Name(), err, suggestion(fs, c.args))
		help(c.stderr, fs, usage)
		return exitBroken, false
	}
	return exitOK, true
}

func fromEnvironment(fs *flag.FlagSet, env func(string) string) error {
	given := map[string]bool{}
	fs.Visit(func(f *flag.Flag) { given[f.Name] = true })
	var err error
	fs.VisitAll(func(f *flag.Flag) {
		value := env(variable(f.Name))
		if given[f.Name] || value == "" || err != nil {
			return
		}
		if e := f.Value.Set(value); e != nil {
			err = fmt.Errorf("invalid value %q in %s: %w", value, variable(f.Name), e)
		}
	})
	return err
}

// variable is the environment variable that stands for a flag.
func variable(name string) string {
	return "WATTKEEL_" + strings.ToUpper(strings.ReplaceAll(name, "-", "_"))
}

func suggestion(fs *flag.FlagSet, args []string) string {
	var names []string
	fs.VisitAll(func(f *flag.Flag) { names = append(names, f.Name) })
	for _, arg := range args {
		name, dashed := strings.CutPrefix(arg, "-")
		name, _, _ = strings.Cut(strings.TrimPrefix(name, "-"), "=")
		if !dashed || fs.Lookup(name) != nil {
			continue
		}
		if n := spec.Nearest(name, names); n != "" {
			return fmt.Sprintf("; did you mean --%s?", n)
		}
	}
	return ""
}

func help(w io.Writer, fs *flag.FlagSet, usage string) {
	say(w, "Usage: wattkeel %s %s\n", fs.Name(), usage)
	first := true
	fs.VisitAll(func(f *flag.Flag) {
		if first {
			say(w, "\nFlags, each with the variable that sets it too:\n")
			first = false
		}
		say(w, "  --%s %s\n        %s", f.Name, kindOf(f), f.Usage)
		if f.DefValue != "" { // left out, the words say what holds
			say(w, " (default %s)", f.DefValue)
		}
		say(w, " [%s]\n", variable(f.Name))
	})
}

func kindOf(f *flag.Flag) string {
	kind, _ := flag.UnquoteUsage(f)
	return strings.ToUpper(kind)
}
