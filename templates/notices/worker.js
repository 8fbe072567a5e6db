// Shows what the site pushes, and opens its page when it is tapped.
self.addEventListener("push", (event) => {
  const said = event.data ? event.data.json() : {};
  const options = { body: said.body, tag: said.tag, data: { url: said.url || "/" }, icon: "/static/portal/icons/mark.svg" };
  event.waitUntil(self.registration.showNotification(said.title || "Carryover", options));
});

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  const url = new URL(event.notification.data.url, self.location.origin);
  // Only pages of this site, whatever a message says
  event.waitUntil(self.clients.openWindow(url.origin === self.location.origin ? url.href : "/"));
});
