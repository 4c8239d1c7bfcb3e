package storage

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestE24(t *testing.T) {
	for _, c := range []struct{ wanted, got float64 }{
		{1, 1}, {1.0001, 1.1}, {9.1, 9.1}, {9.11, 10}, {10, 10}, {11.45, 12}, {99.9, 100}, {1000, 1000}, {0.047, 0.047}, {0.0471, 0.051}, {4700, 4700}, {0.1, 0.1}, {0.91, 0.91},
	} {
		assert.Equal(t, c.got, e24AtLeast(c.wanted), "%v", c.wanted)
	}
	series := e24()
	require.Len(t, series, 24)
	for i := 1; i < len(series); i++ { // as near to 10^(i/24) as two digits and tradition allow
		assert.Greater(t, series[i], series[i-1])
		assert.InEpsilon(t, math.Pow(10, float64(i)/24), series[i], 0.06)
	}
	rapid.Check(t, func(t *rapid.T) {
		x := math.Pow(10, rapid.Float64Range(-4, 7).Draw(t, "decade"))
		r := e24AtLeast(x)
		assert.GreaterOrEqual(t, r, x*(1-1e-9))
		assert.Less(t, r, x*1.16, "the widest gap is from 1.3 to 1.5")
	})
}

func TestSoldWattage(t *testing.T) {
	for _, c := range []struct{ wanted, got float64 }{{0.01, 0.25}, {0.25, 0.25}, {0.26, 0.5}, {31.8, 50}, {1000, 1000}, {1001, 2000}} {
		assert.Equal(t, c.got, soldWattage(c.wanted), "%v", c.wanted)
	}
}
