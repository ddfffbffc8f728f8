package client

// retries is gRPC's service config: calls that do no harm when they are made
// twice are tried again, a few times, while the server cannot be reached.
// Creates are among them because this package gives each a request_id. Updates
// and deletes are not: whether the first try took effect could not be told.
const retries = `{"methodConfig": [{
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
    {"service": "heirpress.v1.AlertService", "method": "AcknowledgeAlert"}
  ],
  "retryPolicy": {
    "maxAttempts": 4,
    "initialBackoff": "0.2s",
    "maxBackoff": "2s",
    "backoffMultiplier": 2,
    "retryableStatusCodes": ["UNAVAILABLE"]
  }
}]}`
