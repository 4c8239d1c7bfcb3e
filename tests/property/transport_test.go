package property

import (
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/transport"
)

func mover() *transport.Checker { return transport.NewChecker(cell.NewTable(), rule.All()) }

func drawJourney(t *rapid.T) *transport.Request {
	q := &transport.Request{
		Mode: oneOfAll[spec.TransportMode](t, spec.Road.Enum(), "mode"), Installed: maybe(t, rapid.Bool(), "installed"),
		AsOf: rapid.SampledFrom([]spec.Date{"", "2015-01-01", "2018-01-01", "2025-12-31", "2026-01-01", "2026-11-25"}).Draw(t, "day"),
	}
	q.PackedWithEquipment = (q.Installed == nil || !*q.Installed) && rapid.Bool().Draw(t, "beside")
	for range rapid.SampledFrom([]int{1, 1, 2, 5}).Draw(t, "packs") {
		p := drawPack(t)
		if rapid.Bool().Draw(t, "large") { // near the limits of energy
			p.CapacityMAh = rapid.SampledFrom([]float64{20, 60, 99, 101, 159, 161, 299, 301}).Draw(t, "wh") / 3.7 / float64(p.CellsSeries) * 1000
		}
		q.Packs = append(q.Packs, p)
	}
	return q
}

func oneOfAll[T ~string](t *rapid.T, words []string, label string) T {
	return T(rapid.SampledFrom(words).Draw(t, label))
}

func rank(v spec.Verdict) int { return slices.Index(v.Enum(), string(v)) }

func packAt(t *rapid.T, q *transport.Request) int {
	return rapid.IntRange(0, len(q.Packs)-1).Draw(t, "which")
}

// changedPack is the journey with one pack changed.
func changedPack(q *transport.Request, i int, change func(*spec.Pack)) *transport.Request {
	other := *q
	other.Packs = slices.Clone(q.Packs)
	change(&other.Packs[i])
	return &other
}

func TestJourneysAreSound(t *testing.T) {
	t.Parallel()
	c := mover()
	rapid.Check(t, func(t *rapid.T) {
		q := drawJourney(t)
		a := c.Check(q)
		assert.Equal(t, spec.VerdictOf(a.Findings), a.Verdict)
		worst, sum := 0, 0.0
		require.Len(t, a.Packs, len(q.Packs))
		for i, p := range a.Packs {
			assert.Equal(t, i, p.Index)
			worst, sum = max(worst, rank(p.Verdict)), sum+p.EnergyWh
			assert.Equal(t, q.Packs[i].Chemistry == spec.NiMH, p.Category == transport.NotLithium)
			if p.MostChargePercent != nil {
				assert.GreaterOrEqual(t, *p.MostChargePercent, *p.ChargePercent-1e-6)
			}
		}
		assert.Equal(t, worst, rank(a.Verdict))
		assert.InEpsilon(t, sum, a.EnergyWh, 1e-7)
		for _, f := range a.Findings {
			for _, at := range f.At {
				assert.False(t, strings.HasPrefix(at, "/pack/") || at == "/pack", "%s points at %s", f.Rule, at)
			}
		}
		first, err := json.Marshal(a)
		require.NoError(t, err)
		again, err := json.Marshal(mover().Check(q))
		require.NoError(t, err)
		assert.Equal(t, string(first), string(again))
	})
}

// More energy, more charge, an added fault, one more pack: none of them ever
// improves a verdict.
func TestNothingWorseImprovesAJourney(t *testing.T) {
	t.Parallel()
	for name, worsen := range map[string]func(t *rapid.T, q *transport.Request, i int) *transport.Request{
		"more energy": func(t *rapid.T, q *transport.Request, i int) *transport.Request {
			k := between(1, 4).Draw(t, "times")
			return changedPack(q, i, func(p *spec.Pack) {
				p.CapacityMAh = min(p.CapacityMAh*k, 1e6)
				if p.EnergyWh != nil { // the label stays as consistent as it is
					wh := *p.EnergyWh * p.CapacityMAh / q.Packs[i].CapacityMAh
					p.EnergyWh = &wh
				}
			})
		},
		"a fault": func(t *rapid.T, q *transport.Request, i int) *transport.Request {
			return changedPack(q, i, func(p *spec.Pack) {
				fault := spec.Condition(rapid.SampledFrom(spec.Dented.Enum()).Draw(t, "fault"))
				p.Condition = append(slices.Clone(p.Condition), fault)
			})
		},
		"more charge": func(t *rapid.T, q *transport.Request, i int) *transport.Request {
			less, more := between(0, 100).Draw(t, "charge"), between(0, 100).Draw(t, "other charge")
			less, more = min(less, more), max(less, more)
			q.Packs[i].CellVoltagesV, q.Packs[i].PackVoltageV, q.Packs[i].ChargePercent = nil, nil, &less
			return changedPack(q, i, func(p *spec.Pack) { p.ChargePercent = &more })
		},
		"one more pack": func(t *rapid.T, q *transport.Request, _ int) *transport.Request {
			other := *q
			other.Packs = append(slices.Clone(q.Packs), drawPack(t))
			return &other
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := mover()
			rapid.Check(t, func(t *rapid.T) {
				q := drawJourney(t)
				for i := range q.Packs { // or nearly every journey is stopped for a fault
					if rapid.Bool().Draw(t, "sound") {
						q.Packs[i].Condition = []spec.Condition{}
					}
				}
				worse := worsen(t, q, packAt(t, q))
				before, after := c.Check(q), c.Check(worse)
				assert.GreaterOrEqual(t, rank(after.Verdict), rank(before.Verdict))
				order := transport.NotLithium.Enum()
				assert.GreaterOrEqual(t, slices.Index(order, string(after.Category)), slices.Index(order, string(before.Category)))
				assert.GreaterOrEqual(t, after.EnergyWh, before.EnergyWh*(1-2e-9))
			})
		})
	}
}

// In which order the packs are listed changes nothing but places.
func TestTheOrderOfPacksDoesNotMatter(t *testing.T) {
	t.Parallel()
	c := mover()
	rapid.Check(t, func(t *rapid.T) {
		q := drawJourney(t)
		other := *q
		other.Packs = rapid.Permutation(slices.Clone(q.Packs)).Draw(t, "order")
		a, b := c.Check(q), c.Check(&other)
		assert.Equal(t, a.Verdict, b.Verdict)
		assert.Equal(t, a.Category, b.Category)
		assert.InEpsilon(t, a.EnergyWh, b.EnergyWh, 1e-8)
		assert.Len(t, b.Findings, len(a.Findings))
	})
}
