package main

import (
	"context"

	"github.com/wattkeel/wattkeel/openapi"
)

func document(_ context.Context, c call) int {
	if code, ok := parse(newFlags("openapi"), c, ""); !ok {
		return code
	}
	if _, err := c.stdout.Write(openapi.JSON()); err != nil {
		say(c.stderr, "wattkeel openapi: %v\n", err)
		return exitNo
	}
	return exitOK
}
