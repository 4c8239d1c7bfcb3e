package main

import (
	"context"
	"runtime"

	"github.com/wattkeel/wattkeel/service/rule"
)

func version(_ context.Context, c call) int {
	if code, ok := parse(newFlags("version"), c, ""); !ok {
		return code
	}
	v := rule.Versions()
	for _, line := range [][2]string{{"service", v.Service}, {"rules", v.Rules}, {"data", v.Data}, {"go", runtime.Version()}} {
		say(c.stdout, "%-8s %s\n", line[0], line[1])
	}
	return exitOK
}
