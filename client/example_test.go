package client_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"time"

	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/client"
)

// service starts one in this process. Yours has an address instead.
func service() (c *client.Client, stop func()) {
	s := httptest.NewServer(api.New(api.Config{}).Handler())
	c, err := client.New(s.URL, client.WithHTTPClient(&http.Client{Timeout: 10 * time.Second}))
	if err != nil {
		panic(err)
	}
	return c, s.Close
}

// benchRequest asks about a pack of Tern Quay Model Boats on the club's charger.
func benchRequest() client.ChargePlanRequest {
	return client.ChargePlanRequest{
		Pack: client.Pack{
			ID:                client.Ptr("tq-021"),
			Chemistry:         client.ChemistryNameLiPo,
			CellsSeries:       3,
			CapacityMAh:       2200,
			MaxChargeCRate:    client.Ptr(5.0),
			MaxDischargeCRate: client.Ptr(30.0),
			CellVoltagesV:     []float64{3.72, 3.72, 3.72},
			TemperatureDegC:   client.Ptr(19.0),
			NominalVoltageV:   client.Ptr(11.1),
			Condition:         []client.Condition{}, // looked, and found nothing
		},
		Charger: client.Charger{
			ID:                 client.Ptr("bench-a"),
			Chemistries:        []client.ChemistryName{client.ChemistryNameLiPo, client.ChemistryNameNiMH},
			CellsSeriesMin:     1,
			CellsSeriesMax:     4,
			MinChargeCurrentA:  client.Ptr(0.1),
			MaxChargeCurrentA:  6,
			ChargeCurrentStepA: client.Ptr(0.1),
			MaxChargePowerW:    client.Ptr(60.0),
			Balance:            client.BalanceWithMainLead,
			BalanceCurrentA:    client.Ptr(0.3),
			CellCount:          client.Ptr(client.CellCountSetByHand),
			SafetyTimer:        client.Ptr(true),
			Supply:             &client.Supply{PowerW: client.Ptr(80.0), EfficiencyPercent: client.Ptr(85.0)},
		},
		Surroundings: &client.Surroundings{
			Attended:    client.Ptr(true),
			Enclosure:   client.Ptr(client.EnclosureMetalBox),
			Surface:     client.Ptr(client.SurfaceNonCombustible),
			AmbientDegC: client.Ptr(19.0),
		},
	}
}

func ExampleClient_CreateChargePlan() {
	c, stop := service()
	defer stop()
	plan, err := c.CreateChargePlan(context.Background(), benchRequest(), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("verdict:", plan.Verdict)
	if plan.Verdict == client.VerdictStop {
		return
	}
	fmt.Println("current:", plan.Settings.CurrentA, "A")
	fmt.Printf("expected: %.0f minutes\n", plan.Duration.ExpectedMin)
	// Output:
	// verdict: clear
	// current: 2.2 A
	// expected: 48 minutes
}

// A pack that must not be charged is an answer, not an error. There are no
// settings to copy.
func ExampleClient_CreateChargePlan_stop() {
	c, stop := service()
	defer stop()
	request := benchRequest()
	request.Pack.Condition = []client.Condition{client.ConditionSwollen}
	plan, err := c.CreateChargePlan(context.Background(), request, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("verdict:", plan.Verdict)
	fmt.Println("settings:", plan.Settings)
	for _, f := range plan.Findings {
		if f.Severity == client.SeverityStop {
			fmt.Println(f.Rule+":", f.Remedy)
		}
	}
	// Output:
	// verdict: stop
	// settings: <nil>
	// pack-swollen: do not charge or use it; put it outdoors on a non-combustible surface away from anything that burns, and take it to a recycling point
}

// Every fault of a request is reported at once.
func ExampleProblemError() {
	c, stop := service()
	defer stop()
	request := benchRequest()
	request.Pack.CapacityMAh = 2.2
	request.Pack.CellVoltagesV = []float64{3.72, 3720, 3.72}
	_, err := c.CreateChargePlan(context.Background(), request, nil, client.RequestID("tq-desk-0042"))
	var problem *client.ProblemError
	if !errors.As(err, &problem) {
		fmt.Println(err)
		return
	}
	fmt.Println(problem.Status, problem.Title)
	for _, f := range problem.Errors {
		fmt.Printf("%s: %s\n", f.Pointer, f.Detail)
	}
	// Output:
	// 422 The request is not valid
	// /pack/capacity_mah: capacity_mah is 2.2: this looks like amp hours; write 2200
	// /pack/cell_voltages_v/1: cell_voltages_v[1] is 3720: this looks like millivolts; write 3.72
}

// With trace=full the answer says how each of its numbers follows.
func ExampleClient_CreateChargePlan_trace() {
	c, stop := service()
	defer stop()
	full := client.CreateChargePlanParams{Trace: client.Ptr(client.CreateChargePlanParamsTraceFull)}
	plan, err := c.CreateChargePlan(context.Background(), benchRequest(), &full)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range plan.Trace {
		for _, at := range n.At {
			if at == "/settings/end_voltage_v" {
				fmt.Printf("%s = %s = %.4g %s\n", n.ID, *n.Formula, *n.Value, *n.Unit)
			}
		}
	}
	// Output:
	// end_voltage_v = end_cell_v * pack.cells_series = 12.6 v
}

// A catalog that has not changed need not be sent again.
func ExampleNotModified() {
	c, stop := service()
	defer stop()
	ctx := context.Background()
	var header http.Header
	list, err := c.ListChemistries(ctx, nil, client.SaveHeader(&header))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(list.Chemistries), "chemistries")
	_, err = c.ListChemistries(ctx, &client.ListChemistriesParams{IfNoneMatch: client.Ptr(header.Get("ETag"))})
	fmt.Println("not modified:", errors.Is(err, client.NotModified{}))
	// Output:
	// 5 chemistries
	// not modified: true
}
