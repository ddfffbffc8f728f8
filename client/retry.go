package client

import (
	"context"
	"fmt"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"heirpress/server"
)

// serviceConfig is gRPC's service config, for one server or for several: see
// https://github.com/grpc/grpc/blob/master/doc/service_config.md.
func serviceConfig(several bool) string {
	balancing := ""
	if several {
		balancing = `"loadBalancingConfig": [{"round_robin": {}}], "healthCheckConfig": {"serviceName": ""}, `
	}
	return fmt.Sprintf(`{%s"methodConfig": [%s]}`, balancing, retries)
}

// retries says that calls that do no harm when they are made twice are tried
// again, a few times, while the server cannot be reached.
// Creates are among them because this package gives each a request_id. Updates
// and deletes are not: whether the first try took effect could not be told.
const retries = `{
  "name": [
    {"service": "heirpress.v1.SearchService"},
    {"service": "heirpress.v1.ShopService", "method": "CreateShop"},
    {"service": "heirpress.v1.ShopService", "method": "GetShop"},
    {"service": "heirpress.v1.ShopService", "method": "ListShops"},
    {"service": "heirpress.v1.LotService", "method": "CreateLot"},
    {"service": "heirpress.v1.LotService", "method": "BatchCreateLots"},
    {"service": "heirpress.v1.LotService", "method": "GetLot"},
    {"service": "heirpress.v1.LotService", "method": "ListLots"},
    {"service": "heirpress.v1.WantService", "method": "CreateWantedList"},
    {"service": "heirpress.v1.WantService", "method": "GetWantedList"},
    {"service": "heirpress.v1.WantService", "method": "ListWantedLists"},
    {"service": "heirpress.v1.PrivatePlaceService", "method": "GetPrivatePlace"},
    {"service": "heirpress.v1.HistoryService", "method": "ListHistory"},
    {"service": "heirpress.v1.ProofService", "method": "GetProof"},
    {"service": "heirpress.v1.IntroductionService", "method": "CreateIntroduction"},
    {"service": "heirpress.v1.IntroductionService", "method": "GetIntroduction"},
    {"service": "heirpress.v1.IntroductionService", "method": "ListIntroductions"},
    {"service": "heirpress.v1.IntroductionService", "method": "ListReports"},
    {"service": "heirpress.v1.AlertService", "method": "ListAlerts"},
    {"service": "heirpress.v1.AlertService", "method": "AcknowledgeAlert"},
    {"service": "heirpress.v1.InterestService"},
    {"service": "heirpress.v1.PhotoService", "method": "GetUpload"},
    {"service": "heirpress.v1.PhotoService", "method": "ListPhotos"},
    {"service": "heirpress.v1.DeliveryService", "method": "GetDelivery"},
    {"service": "heirpress.v1.AccountService", "method": "GetAccount"},
    {"service": "heirpress.v1.AccountService", "method": "ListAccounts"},
    {"service": "heirpress.v1.AccountService", "method": "ListTokens"},
    {"service": "heirpress.v1.AccountService", "method": "CreateDelegation"},
    {"service": "heirpress.v1.AccountService", "method": "ListAuditEntries"},
    {"service": "heirpress.v1.AccountService", "method": "ListDelegations"}
  ],
  "retryPolicy": {
    "maxAttempts": 4,
    "initialBackoff": "0.2s",
    "maxBackoff": "2s",
    "backoffMultiplier": 2,
    "retryableStatusCodes": ["UNAVAILABLE"]
  }
}`

const (
	mostWaits   = 5                // for one call
	longestWait = 15 * time.Second // that is worth it
)

// patiently makes a call again that was refused because too many were made before
// it, when the server says that it may: such a call has had no effect.
func patiently(ctx context.Context, method string, req, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, with ...grpc.CallOption) error {
	for waits := 0; ; waits++ {
		err := call(ctx, method, req, answer, conn, with...)
		after, told := askedToWait(err)
		if !told || waits == mostWaits || after > longestWait {
			return err
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(after):
		}
	}
}

// askedToWait tells how long a server asks to wait that has had too many calls.
func askedToWait(err error) (time.Duration, bool) {
	if status.Code(err) != codes.ResourceExhausted {
		return 0, false
	}
	why, _ := detail[*errdetails.ErrorInfo](err)
	retry, told := detail[*errdetails.RetryInfo](err)
	return retry.GetRetryDelay().AsDuration(), told && why.GetReason() == server.ReasonTooManyCalls
}
