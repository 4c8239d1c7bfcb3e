package reference_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/label"
	"github.com/wattkeel/wattkeel/service/rule"
)

func readLabel(text string) *label.Answer {
	return label.NewReader(cell.NewTable(), rule.All()).Read(&label.Request{Text: text})
}

// said is what a reading says of a label: the cell count and the capacity that
// may be used, and the kinds of contradiction.
func said(a *label.Answer) string {
	parts := []string{}
	if n := a.Pack.CellsSeries; n != nil {
		parts = append(parts, strconv.Itoa(*n)+"S")
	}
	if c := a.Pack.CapacityMAh; c != nil {
		parts = append(parts, fmt.Sprintf("%g mAh", *c))
	}
	for _, c := range a.Contradictions {
		parts = append(parts, string(c.Kind))
	}
	return strings.Join(parts, ", ")
}

// wattHourRows are section 4: watt hours are rated amp hours times nominal
// volts. Labels that print all three are read without a contradiction, and the
// product of what was read is the published energy.
func wattHourRows(printed float64) []row {
	regulation := source{"49 CFR 171.8, Watt-hour: rated capacity in ampere-hours times nominal voltage", read}
	var rows []row
	for _, x := range []struct {
		id, chemistry string
		cells         int
		cellV, mAh    float64
		wh            float64
	}{
		{"4a", "LiPo", 2, 3.7, 2200, 16.28},
		{"4b", "LiPo", 3, 3.7, 2200, 24.42},
		{"4c", "LiPo", 4, 3.7, 5000, 74},
		{"4d", "LiPo", 6, 3.7, 4500, 99.9},
		{"4e", "LiPo", 6, 3.7, 5000, 111},
		{"4f", "LiPo", 6, 3.7, 7200, 159.84},
		{"4g", "LiPo", 6, 3.7, 7300, 162.06},
		{"4h", "LiHV", 6, 3.85, 5000, 115.5},
		{"4i", "LiFePO4", 4, 3.2, 4200, 53.76},
		{"4j", "LiPo", 1, 3.7, 5400, 19.98},
		{"4k", "LiPo", 12, 3.7, 6700, 297.48},
	} {
		text := fmt.Sprintf("%s %dS %.4gV %gmAh %.6gWh", x.chemistry, x.cells, x.cellV*float64(x.cells), x.mAh, x.wh*printed)
		a := readLabel(text)
		rows = append(rows, word(x.id, text, fmt.Sprintf("%dS, %g mAh", x.cells, x.mAh), said(a), regulation))
		if v, c := a.Pack.NominalVoltageV, a.Pack.CapacityMAh; v != nil && c != nil {
			rows = append(rows, num(x.id, "volts times amp hours, as read", x.wh, *v**c/1000, exactly(), regulation))
		}
	}
	return rows
}

func TestLabelsByWattHours(t *testing.T) {
	checkTable(t, "watt hours on labels", wattHourRows(1))
	mustFail(t, "watt hours 6 % too high", 11, wattHourRows(1.06))
	mustFail(t, "watt hours ten times too low", 11, wattHourRows(0.1))
}

// nominalRows are the voltages that labels print for each chemistry. A label
// without a cell count gets it from them, and one with a count one too high is
// not believed.
func nominalRows(more int) []row {
	var rows []row
	for _, x := range []struct {
		chemistry string
		cellV     float64
	}{{"LiPo", 3.7}, {"LiHV", 3.8}, {"LiHV", 3.85}, {"Li-ion", 3.6}, {"Li-ion", 3.7}, {"LiFePO4", 3.2}, {"LiFePO4", 3.3}, {"NiMH", 1.2}} {
		from := trade(fmt.Sprintf("labels print %g V a cell for %s", x.cellV, x.chemistry))
		for cells := 1; cells <= 8; cells++ {
			v := strconv.FormatFloat(x.cellV*float64(cells), 'f', 2, 64)
			rows = append(rows, word("4n", fmt.Sprintf("%s %s V", x.chemistry, v), fmt.Sprintf("%dS, 2200 mAh", cells), said(readLabel(x.chemistry+" "+v+"V 2200mAh")), from))
			text := fmt.Sprintf("%s %s V %dS", x.chemistry, v, cells+more)
			rows = append(rows, word("4n", text, "2200 mAh, voltage", said(readLabel(text+" 2200mAh")), from))
		}
	}
	return rows
}

func TestLabelsByNominalVoltage(t *testing.T) {
	checkTable(t, "nominal voltages on labels", nominalRows(1))
	mustFail(t, "the right cell count", 64, nominalRows(0))
}
