// Ctrl+Enter (or Cmd+Enter) in the query runs it. Everything works without this.
document.querySelectorAll("textarea").forEach((area) => {
  area.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      area.form.requestSubmit();
    }
  });
});
