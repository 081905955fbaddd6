/* The first thing that runs: asks for the database while everything else is still on its way. A classic
   script, since modules run late. Where no database is yet, making it is left to database.js. */
{
  const asked = (self.opening = indexedDB.open("ringwright"));
  asked.onupgradeneeded = () => asked.transaction?.abort();
  asked.onerror = (event) => event.preventDefault();
}
