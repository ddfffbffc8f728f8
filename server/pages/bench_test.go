package pages_test

import (
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/sidebyside/lots"
)

var benchLots = flag.Int("lots", 10_000, "how many lots there are while pages are measured")

// BenchmarkPages tells how long pages of each sort take, over loopback.
func BenchmarkPages(b *testing.B) {
	s := serveIn(b, server.Config{Dir: b.TempDir()}, server.ServeConfig{})
	var shop *pb.Shop
	for one := range lots.New(1).Shops(*benchLots) {
		made, err := pb.NewShopServiceClient(s.conn).CreateShop(b.Context(), &pb.CreateShopRequest{Shop: one.Shop})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := pb.NewLotServiceClient(s.conn).BatchCreateLots(b.Context(), &pb.BatchCreateLotsRequest{Parent: made.GetShop().GetName(), Lots: one.Lots}); err != nil {
			b.Fatal(err)
		}
		if shop == nil || len(one.Lots) > 100 {
			shop = made.GetShop()
		}
	}
	towns := []string{"Toledo, OH", "Pittsburgh, PA", "Leeds, England", "Austin, TX", "Denver, CO", "Boston, MA"}
	for name, path := range map[string]func(int) string{
		"front":     func(int) string { return "/" },
		"words":     func(i int) string { return find("q", "platen jobber", "from", fmt.Sprint(1+i)) },
		"sentence":  func(i int) string { return find("q", "press under 1500 lb within 200 miles of "+towns[i%len(towns)]) },
		"nearest":   func(i int) string { return find("near", towns[i%len(towns)], "kind", "press") },
		"shop":      func(int) string { return "/" + shop.GetName() },
		"catalogue": func(int) string { return "/" + shop.GetName() + "/catalogue" },
		"map":       func(i int) string { return "/map.svg?near=" + url.QueryEscape(towns[i%len(towns)]) + "&q=platen" },
		"feed":      func(int) string { return "/feed.atom?q=platen+jobber" },
	} {
		b.Run(name, func(b *testing.B) { s.measure(b, path) })
	}
}

func (s *served) measure(b *testing.B, path func(int) string) {
	var took []time.Duration
	var size int64
	for i := 0; b.Loop(); i++ {
		start := time.Now()
		got, err := s.client.Get(s.at + path(i))
		if err != nil {
			b.Fatal(err)
		}
		n, err := io.Copy(io.Discard, got.Body)
		got.Body.Close()
		if err != nil || got.StatusCode != http.StatusOK {
			b.Fatalf("%s: %s, %v", path(i), got.Status, err)
		}
		took, size = append(took, time.Since(start)), max(size, n)
	}
	slices.Sort(took)
	at := func(share float64) float64 {
		return float64(took[int(share*float64(len(took)-1))].Microseconds()) / 1000
	}
	b.ReportMetric(at(0.5), "ms-p50")
	b.ReportMetric(at(0.99), "ms-p99")
	b.ReportMetric(float64(size)/1024, "KiB")
}
