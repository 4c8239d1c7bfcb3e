package rules_test

import (
	"testing"

	"go.uber.org/goleak"
)

// The service that is asked here leaves nothing running behind.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }
