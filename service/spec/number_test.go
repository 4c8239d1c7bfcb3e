package spec

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// strconv's correctly rounded decimal is the reference; the two may differ only
// where the tenth digit is a tie within the double's own precision.
func TestRound9AgreesWithStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e12, 1e12).Draw(t, "x") * math.Pow10(rapid.IntRange(-9, 6).Draw(t, "scale"))
		want, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 8, 64), 64)
		assert.NoError(t, err)
		if math.Abs(x) < 1e-14 {
			return
		}
		got := Round9(x)
		assert.InDelta(t, want, got, 1.0000001e-8*math.Abs(want))
		assert.Equal(t, got, Round9(got), "rounding twice changes nothing")
		assert.LessOrEqual(t, len(strconv.FormatFloat(math.Abs(got), 'e', -1, 64)), len("1.23456789e+18"), "at most nine digits")
	})
}

func TestRound9KnownValues(t *testing.T) {
	for x, want := range map[float64]float64{
		0: 0, 12.6: 12.6, 4.761904761904762: 4.76190476, 1e9: 1e9, 999999999.6: 1e9, 123456789012: 123456789000,
		-2.0000000004: -2, 0.1: 0.1, 1000: 1000, 999.9999999999: 1000, 1e-15: 0,
	} {
		assert.Equal(t, want, Round9(x), "%v", x)
	}
}

func TestBesideTellsANumberFromItsLimit(t *testing.T) {
	for _, c := range []struct {
		x, limit float64
		want     string
	}{{79.954, 80, "79.954"}, {50, 80, "50"}, {1.5009, 1.5, "1.501"}, {0.499, 0.5, "0.499"}, {2.4999, 2.5, "2.4999"}, {80, 80, "80"}} {
		assert.Equal(t, c.want, Beside(c.x, c.limit))
	}
}
