// Makes forms nicer where scripts run; without them every button still works.
//
// A button with data-swap sends its form and replaces just that form with the
// one in the answer. A field with data-swap-press="refresh" sends its form as
// if the button of that value were pressed, and replaces only the parts marked
// data-live, so that nothing that is being typed is lost.
"use strict";
(() => {
  const ask = async (form, button) => {
    const body = new URLSearchParams(new FormData(form));
    body.set(button.name, button.value);
    const answer = await fetch(form.action, { method: "POST", body });
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };

  const swapForm = async (form, button) => {
    const fresh = (await ask(form, button)).getElementById(form.id);
    if (!fresh) throw new Error("the answer holds no such form");
    form.replaceWith(fresh);
    fresh.querySelector("[autofocus]")?.focus();
  };

  document.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!button?.hasAttribute("data-swap") || !event.target.id) return;
    event.preventDefault();
    swapForm(event.target, button).catch(() => {
      // The whole page shows what is wrong better than we could.
      button.removeAttribute("data-swap");
      event.target.requestSubmit(button);
    });
  });

  let asked = 0;
  document.addEventListener("change", async (event) => {
    const value = event.target.dataset?.swapPress;
    const form = event.target.form;
    const button = value && form?.querySelector(`button[value="${CSS.escape(value)}"]`);
    if (!button) return;
    const mine = ++asked;
    const page = await ask(form, button).catch(() => null);
    if (!page || mine !== asked) return;
    for (const part of form.querySelectorAll("[data-live]")) {
      const fresh = page.getElementById(part.id);
      if (fresh && fresh.innerHTML !== part.innerHTML) part.innerHTML = fresh.innerHTML;
    }
  });

  document.getElementById("problems")?.focus();
})();
