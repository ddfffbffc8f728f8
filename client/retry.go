package client

import "fmt"

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
    {"service": "heirpress.v1.AlertService", "method": "ListAlerts"},
    {"service": "heirpress.v1.AlertService", "method": "AcknowledgeAlert"},
    {"service": "heirpress.v1.InterestService"},
    {"service": "heirpress.v1.DeliveryService", "method": "GetDelivery"},
    {"service": "heirpress.v1.AccountService", "method": "GetAccount"},
    {"service": "heirpress.v1.AccountService", "method": "ListAccounts"},
    {"service": "heirpress.v1.AccountService", "method": "ListTokens"},
    {"service": "heirpress.v1.AccountService", "method": "CreateDelegation"},
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
